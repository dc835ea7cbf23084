"""The templates of what happened: jobs, receipts, transfers, moves, weighings, shipments and so on.

The headings and cautions are common practice; the basis of a caution stands beside it.
"""

from __future__ import annotations

from ledger.reports.templates import EVERY_ROW, Template, TemplateColumn

_DISPOSABLE = (
    "Never refill or recover into a disposable cylinder.", "49 U.S.C. 5124; 49 CFR 178.65",
)  # fmt: skip
_FILL = (
    "Stop at 80 % of water capacity; less for R-32, R-454B, and oily or unknown contents.",
    "49 CFR 173.304a; AHRI Guideline K",
)
_ONE_REFRIGERANT = (
    "One refrigerant in a cylinder; unknown goes into its own clean, evacuated one.",
    "reclaim practice",
)
_FROSTBITE = ("Liquid causes frostbite: gloves, eye protection, ventilate.", "29 CFR 1910.132")

_DATE = TemplateColumn(
    "Date", "The day it was done, not the day it is typed.", "2026-03-30", EVERY_ROW, "past",
    width=12,
)  # fmt: skip
_TIME = TemplateColumn(
    "Time", "Time of day, where the order within a day matters.", "14:05", shape="time", width=8
)
_SITE = TemplateColumn(
    "Site", "Site or address, where no unit is named or two sites have the same unit name.",
    "Store 14", choices="sites", free=True, width=20,
)  # fmt: skip
_UNIT = TemplateColumn(
    "Unit or circuit", "The unit; unit and circuit where it has several.", "RTU-3/B", EVERY_ROW,
    choices="circuits", free=True, width=18,
)  # fmt: skip
_REFRIGERANT = TemplateColumn(
    "Refrigerant", "The R-number. Empty: that of the unit or the cylinder in the book.", "R-410A",
    choices="refrigerants", width=12,
)  # fmt: skip
_BEFORE = TemplateColumn(
    "Gross before (lb)", "The cylinder on the scale before; hoses off, or on both times.", "21.40",
    "the better evidence", "mass", width=12,
)  # fmt: skip
_AFTER = TemplateColumn(
    "Gross after (lb)", "The same cylinder on the same scale afterwards.", "18.55",
    "the better evidence", "mass", width=12,
)  # fmt: skip
_AMOUNT = TemplateColumn(
    "Amount (lb)", "The net, where the weights before and after were not read.", "2.85",
    "rows without gross weights", "mass", width=11,
)  # fmt: skip
_SCALE = TemplateColumn(
    "Scale", "The scale that was used.", "B1", choices="scales", free=True, width=10
)
_BY = TemplateColumn("Done by", "Who did it.", "Dana Field", choices="people", free=True, width=18)
_TECHNICIAN = TemplateColumn(
    "Technician", "Who did the work: name as in the book, or initials.", "Dana Field",
    "the certification check and the owner's service record", choices="people", free=True,
    width=18,
)  # fmt: skip
_SUPERVISOR = TemplateColumn(
    "Supervised by", "The certified technician, where an apprentice did the work.", "Lena Hart",
    "jobs of apprentices", choices="people", free=True, width=18,
)  # fmt: skip
_TICKET = TemplateColumn("Ticket", "Ticket or work-order number.", "5031", width=12)
_NOTE = TemplateColumn("Note", "Anything worth keeping.", "found oil at the flare", width=30)
_KIND = TemplateColumn(
    "Cylinder kind", "What kind it is, where the cylinder is not in the book yet.", "disposable",
    "new cylinders", choices="cylinder_kinds", width=14,
)  # fmt: skip
_GROSS = TemplateColumn(
    "Gross (lb)", "Cylinder and contents on the scale.", "37.40", "weighed cylinders", "mass",
    width=10,
)  # fmt: skip
_TARE = TemplateColumn(
    "Tare (lb)", "The empty cylinder: as marked, or weighed.", "12.40", "weighed cylinders", "mass",
    width=10,
)  # fmt: skip
_NET = TemplateColumn(
    "Net (lb)", "By the label, where it was not weighed.", "25.00", "rows without gross and tare",
    "mass", width=10,
)  # fmt: skip
_PLACE = TemplateColumn(
    "Place", "Warehouse, truck or site.", "Truck 2", choices="places", free=True, width=16
)


def _action(what: str, example: str, choices: str) -> TemplateColumn:
    return TemplateColumn("Action", what, example, EVERY_ROW, choices=choices, width=14)


def _cylinder(heading: str, what: str, choices: str, caution: str = "") -> TemplateColumn:
    return TemplateColumn(
        heading, what, "RC-04" if "ecovery" in heading or heading[:2] == "To" else "410-17",
        "the pounds balance" if choices == "charge_cylinders" else EVERY_ROW, choices=choices,
        free=True, caution=caution, width=14,
    )  # fmt: skip


JOBS = Template(
    "jobs", "Jobs", "one cylinder used on one job: a charge or a recovery",
    (
        _DATE, _TIME,
        _action("charge: put into the unit; recover: taken out.", "charge", "job_actions"),
        _SITE, _UNIT, _REFRIGERANT,
        TemplateColumn(
            "Amount (lb)",
            "The net, where the weights before and after were not read. A recovery that brought"
            " nothing: 0.", "2.85", "rows without gross weights", "amount", also="recover",
            width=11,
        ),
        _BEFORE, _AFTER,
        _cylinder("Cylinder", "The cylinder a charge came from.", "charge_cylinders",
                  "Gloves and eye protection: liquid causes frostbite (29 CFR 1910.132)."),
        TemplateColumn(
            "Recovery cylinder", "The cylinder a recovery went into.", "RC-04",
            "the pounds balance", choices="recovery_cylinders", free=True,
            caution="Never a disposable; stop at 80 % of water capacity (49 CFR 178.65,"
            " 173.304a).", width=14,
        ),
        _SCALE,
        TemplateColumn(
            "Claim", "Only where a charge needs no leak rate, or a removal is seasonal; declared"
            " by you.", "new charge", "charges of new or retrofitted units", choices="claims",
            width=14,
        ),
        _TECHNICIAN, _SUPERVISOR, _TICKET, _NOTE,
    ),
    (_FROSTBITE, _FILL, _DISPOSABLE, _ONE_REFRIGERANT,
     ("Recovered refrigerant goes into its owner's units only, else to reclaim.",
      "40 CFR 82.154(d)")),
)  # fmt: skip

RECEIPTS = Template(
    "receipts", "Receipts", "one cylinder that came in",
    (
        _DATE,
        TemplateColumn("Supplier", "Who it was bought from.", "Gulf Supply", EVERY_ROW,
                       choices="suppliers", free=True, width=20),
        TemplateColumn("Invoice", "Invoice, packing slip or counter ticket.", "INV-2044"),
        TemplateColumn("Cylinder", "Our name for the cylinder.", "410-17", EVERY_ROW),
        _KIND,
        TemplateColumn("Refrigerant", "The R-number on the cylinder.", "R-410A", EVERY_ROW,
                       choices="refrigerants", width=12),
        _NET, _GROSS, _TARE, _SCALE,
        TemplateColumn("Stock", "virgin where left empty.", "reclaimed", "reclaimed refrigerant",
                       choices="stocks", width=12),
        TemplateColumn("Batch", "Batch or lot on the label.", "L-77"),
        TemplateColumn("Reclaimer", "Who reclaimed it.", "Second Life Reclaim",
                       "reclaimed refrigerant", choices="reclaimers", free=True, width=18),
        TemplateColumn("Price per lb", "Dollars for one pound.", "11.50", "the office", "money",
                       width=10),
        TemplateColumn("Deposit", "Deposit on the cylinder, in dollars.", "150.00",
                       "returnable cylinders", "money", width=10),
        _PLACE, _BY, _NOTE,
    ),
    (("Weigh one in five sealed cylinders, and every one whose seal is broken.", "practice"),),
)  # fmt: skip

TRANSFERS = Template(
    "transfers", "Transfers", "refrigerant from one cylinder into another",
    (
        _DATE,
        _cylinder("From cylinder", "The cylinder it left; the one on the scale.", "full_cylinders"),
        _cylinder("To cylinder", "The cylinder it went into.", "refillable_cylinders",
                  "Never a disposable; the same refrigerant only (49 U.S.C. 5124)."),
        _REFRIGERANT, _AMOUNT, _BEFORE, _AFTER, _SCALE, _BY, _TICKET, _NOTE,
    ),
    (_DISPOSABLE, _FILL, _ONE_REFRIGERANT),
)  # fmt: skip

MOVES = Template(
    "moves", "Moves", "one cylinder put on a truck, in the warehouse or at a site",
    (
        _DATE, _action("issue: loaded on a truck; move: put anywhere else.", "issue",
                       "move_actions"),
        _cylinder("Cylinder", "The cylinder that was moved.", "cylinders"),
        TemplateColumn("Place", "Where it is now.", "Truck 2", EVERY_ROW, choices="places",
                       free=True, width=16),
        _BY, _TICKET, _NOTE,
    ),
    (("At most 220 lb a cylinder and 440 lb together on a truck, secured, valves capped.",
      "49 CFR 173.6"),),
)  # fmt: skip

WEIGHINGS = Template(
    "weighings", "Weighings", "one cylinder put on a scale",
    (
        _DATE, _TIME, _cylinder("Cylinder", "The cylinder on the scale.", "cylinders"),
        TemplateColumn("Gross (lb)", "What the scale shows, cylinder and contents.", "37.40",
                       EVERY_ROW, "mass", width=10),
        _SCALE,
        TemplateColumn("State", "Only where seen: sealed, or evacuated (empty, under vacuum).",
                       "sealed", choices="weighed_states", width=12),
        _BY, _NOTE,
    ),
    (("Write down what the scale shows before looking at the book.", "practice"),),
)  # fmt: skip

SHIPMENTS = Template(
    "shipments", "Shipments", "one cylinder that left with its contents",
    (
        _DATE, _action("ship: to a reclaimer or to destruction; return: back to the supplier.",
                       "ship", "ship_actions"),
        _cylinder("Cylinder", "The cylinder that left.", "cylinders"),
        TemplateColumn("Shipped to", "Who it went to.", "Second Life Reclaim", EVERY_ROW,
                       choices="parties", free=True, width=20),
        _REFRIGERANT,
        TemplateColumn("Amount (lb)", "The net. Empty: all that it held by the book.", "46.20",
                       "where it was weighed", "mass", width=11),
        TemplateColumn("Manifest", "Number of the manifest, bill of lading or slip.", "BL-204"),
        _BY, _NOTE,
    ),
    (("A cylinder past its requalification date is not filled again; one filled before may"
      " still be shipped.", "49 CFR 180.205, 173.301"),
     ("Each recovery cylinder bears the name of its refrigerant.", "reclaim practice")),
)  # fmt: skip

BY_OTHERS = Template(
    "by-others", "By others", "one addition that another contractor made",
    (
        _DATE, _SITE, _UNIT,
        TemplateColumn("Contractor", "Who added it.", "another contractor", choices="contractors",
                       free=True, width=20),
        _REFRIGERANT,
        TemplateColumn("Amount (lb)", 'What they added: a weight, "about 5 lb" or unknown.',
                       "unknown", EVERY_ROW, "amount", also="unknown", width=12),
        TemplateColumn("Ticket", "Number of their ticket or invoice.", "T-118"),
        _NOTE,
    ),
    (("It counts in the leak rate of the unit, and not in our stock.", "40 CFR 82.157, 84.106"),),
)  # fmt: skip

OPENING = Template(
    "opening", "Opening balances", "one cylinder as it stood on the day the book starts",
    (
        TemplateColumn("Date", "The day of the count.", "2026-01-05", EVERY_ROW, "past", width=12),
        TemplateColumn("Cylinder", "Our name for the cylinder.", "410-17", EVERY_ROW,
                       choices="cylinders", free=True),
        _KIND,
        TemplateColumn("Refrigerant", "The R-number of what is in it.", "R-410A", EVERY_ROW,
                       choices="refrigerants", width=12),
        _NET, _GROSS, _TARE, _SCALE,
        TemplateColumn("Stock", "unknown where left empty.", "recovered", choices="stocks",
                       width=12),
        TemplateColumn("Owner of refrigerant", "Whose recovered refrigerant it is.",
                       "Harbor Foods", "recovered refrigerant", choices="parties", free=True,
                       width=20),
        _PLACE, _BY, _NOTE,
    ),
)  # fmt: skip

LOSSES = Template(
    "losses", "Losses", "one known release, or the heel left in a cylinder that goes to scrap",
    (
        _DATE, _action("release: got away to the air; heel: left in an emptied cylinder.", "heel",
                       "loss_actions"),
        TemplateColumn("Cylinder", "The cylinder it left or stayed in.", "410-17",
                       "heels, and releases from a cylinder", choices="cylinders", free=True),
        TemplateColumn("Unit or circuit", "The unit it left, where it was no cylinder.", "RTU-3/B",
                       "releases from a unit", choices="circuits", free=True, width=18),
        _REFRIGERANT,
        TemplateColumn("Amount (lb)", "How much. A heel left empty: all that the book has in it.",
                       "0.85", "releases", "mass", width=11),
        _BEFORE, _AFTER,
        TemplateColumn("Cause", "Why it was released.", "hose", "releases", choices="causes",
                       width=18),
        _SCALE, _BY, _TICKET, _NOTE,
    ),
    (("Knowing venting is prohibited.", "40 CFR 82.154(a)"),
     ("Evacuate to 15 in. Hg and sign the statement before scrap where it is asked.",
      "40 CFR 84.116 from 2028; some states now")),
)  # fmt: skip

REPAIRS = Template(
    "repairs", "Repairs and tests", "one repair of a leak, or one verification test",
    (
        _DATE, _TIME, _action("repair, initial test or follow-up test.", "repair",
                              "repair_actions"),
        _SITE, _UNIT,
        TemplateColumn("Where", "The leaking part and where it is.", "flare nut, liquid line",
                       "repairs", width=24),
        TemplateColumn("How", "How it was repaired, or how it was tested.", "electronic detector",
                       width=20),
        TemplateColumn("Evacuated", "Whether the circuit was evacuated for the repair.", "yes",
                       "repairs", choices="yes_no", width=11),
        TemplateColumn("Result", "How the test went.", "pass", "tests", choices="results",
                       width=9),
        TemplateColumn("Leaks", "Which of the identified leaks were tested; all where left empty.",
                       "all", "tests", choices="leaks", width=9),
        _TECHNICIAN, _TICKET, _NOTE,
    ),
    (("Pressure test with dry nitrogen through a regulator only; never oxygen or air.",
      "trade safety texts; mechanical codes"),
     ("Open a circuit only after evacuating it to the level for its pressure.",
      "40 CFR 82.156, Table 1")),
)  # fmt: skip

EVENTS = Template(
    "events", "Inspections and plans",
    "one inspection, leak found, plan, mothballing, alarm or other dated event",
    (
        _DATE, _TIME,
        _action("What happened: leak inspection, leak found, no repair, retrofit plan ...",
                "leak inspection", "event_actions"),
        _SITE,
        TemplateColumn(
            "Unit or circuit", "The unit; unit and circuit where it has several.", "RTU-3/B",
            "every row but reports and fees of a site", choices="circuits", free=True, width=18,
        ),
        TemplateColumn("Leak place", "Where the leak is; several with a semicolon between.",
                       "header joint; case 3 flare", "leaks found", width=24),
        TemplateColumn("How", "The method, or what was seen.", "electronic detector", width=20),
        TemplateColumn("Result", "What an inspection found.", "no leak", "inspections",
                       choices="inspection_results", width=12),
        TemplateColumn("All parts", "Whether all parts that can be seen and reached were looked"
                       " at; of a request, whether it holds all that is asked.", "yes",
                       "inspections and requests", choices="yes_no", width=10),
        TemplateColumn("Ground", "Why more time was asked for; of a record, which.", "parts",
                       "requests", choices="grounds", free=True, width=16),
        TemplateColumn("Signed", "Whether an authorized person signed it.", "yes",
                       "plans and requests", choices="yes_no", width=9),
        TemplateColumn("Replacement", "The R-number that comes instead.", "R-449A",
                       "retrofits", choices="refrigerants", width=13),
        TemplateColumn("Estimated day", "The day it is expected.", "2026-07-01", "requests", "day",
                       width=13),
        TemplateColumn("Watched part", "The part that a detector watches; all where left empty.",
                       "machine room", "detectors and alarms", width=16),
        TemplateColumn("Detector required", "Whether a rule asks for the detector.", "yes",
                       "detectors", choices="yes_no", width=16),
        TemplateColumn("Report year", "The year a report or fee is for.", "2026",
                       "reports and fees of a site", width=11),
        _TECHNICIAN, _TICKET, _NOTE,
    ),
    (("Pressure test with dry nitrogen through a regulator only; never oxygen or air.",
      "trade safety texts; mechanical codes"),
     ("A circuit is mothballed when it is evacuated to at least atmospheric pressure and shut"
      " down.", "40 CFR 82.152, 84.102")),
)  # fmt: skip

SHEETS = (
    JOBS, RECEIPTS, TRANSFERS, MOVES, WEIGHINGS, SHIPMENTS, BY_OTHERS, OPENING, LOSSES, REPAIRS,
    EVENTS,
)  # fmt: skip
"""Every template of what happened."""
