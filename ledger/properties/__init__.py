"""Refrigerant properties for the rest of the program, from tables; the room of floats.

    from ledger.properties.saturation import properties
    one = properties("R-410A")              # Properties, or NoSoundData with the reason
    one.dew_temperature(9.15e5)             # kelvin from pascal (absolute), or NoSoundData
    one.bubble_pressure(300.0)              # pascal from kelvin
    one.liquid_density(298.15)              # kg/m3 of saturated liquid; vapour_density likewise
    one.superheated_density(297.0, 5e4)     # kg/m3 of vapour, down to no pressure at all
    one.specific_gravity()                  # liquid at 77 F, to water at 77 F
    one.record.bounds                       # interpolation error by kind
    one.record.compared                     # published tables it was held against

`pressure_class.pressure_class(name)` gives the class of 40 CFR 82.152, `units` reads and prints
psig at an altitude or barometer, psia, inches of vacuum, bar, kPa, F and C, and
`tables.index().stamp` the versions. Names are those of the register. Every answer may be a
`NoSoundData`: ask with isinstance, say its `sentence()`, and take a value typed by the user.
"""
