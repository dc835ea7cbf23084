"""A year of an invented six-truck shop, what it wrote down, and the truth behind it.

It judges a reconciliation: of the pounds that the shop's papers can explain, how many were given
to the right cause, and was the right truck named where there was a theft and none where there was
not. It was written before any reconciliation and knows none.

**What is known to whom.** `parameters.drawn(seed)` draws the shop: hoses, heels, scales, tares,
how many tickets are forgotten, late, doubled or written on a wrong cylinder, invoices left in a
drawer, leaking valves, the theft. Ranges lie outside any default on both sides. Nothing of it
reaches `paper.Papers`, which holds all that a reconciliation is given beside the book: entries,
count sheets, the dispatch list, the supplier's statement, the reclaimer's weight tickets.
`attribution.Attribution` is called with the book and these papers alone; seed, parameters and
`truth.Truth` stay with the judge. Odd seeds have a theft, so no attribution may learn a seed.

**What is true.** `matter` has heels and liquid gravities from the trade workflow brief, sections
3.3 and 3.6; each shop multiplies them by factors of its own. Hoses keep part of a hook-up, outside
the recorded net only where the scale was zeroed after priming (section 3.4). `scales` have steps,
gain, offset and noise; stamped tares are off. `nights` has storage leaks and thefts. Every pound
is a whole number of thousandths and goes from somewhere to somewhere: opening, bought and
recovered are what is in circuits, shipped, on hand or lost by a cause (`truth.Flows`).

**What is written down.** `shop`, `jobs` and `warehouse` type entries by the verbs of
`ledger.facts.verbs`: openings, receipts by invoice, load-outs, charges (gross weights before and
after, net only, or zeroed after priming), recoveries, Friday's turn-in, empties to scrap, pumping
recovered refrigerant over into a half-ton tank, shipments. A cylinder whose invoice lies in a
drawer is begun provisionally. Where the book holds less than was weighed out of a cylinder, the
office records it with that reason, and the book posts a shortage; `typing_in` does this.
`counting` counts all places at each month's end, blind.

**What is a difference.** See `truth`: counted less recorded, its change month by month, without
the book's own shortages; each pound has one cause. A scale cause holds what readings, labels and
stamped tares do to records and to the counts themselves. Both views of late tickets are kept.

**What it does not have.** Cylinders overlooked at a count or lent unwritten between trucks, short
deliveries, thefts from the warehouse or hidden behind false tickets, mixed refrigerant.

`python -m tests.oracle.simshop.table --seeds 50` prints the judgement of
`attribution.ATTRIBUTION`.
"""
