"""What shipments need from a book: cylinders shipped, papers that came back, the tolerances set."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from ledger.answers.shipments import Leg, Paper, Shipment, shipments
from ledger.answers.tolerances import SETTING, Tolerance, tolerances
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.fill_limit import tare_of

_SHIPMENT = "shipment"


def shipments_of(reader: Reader, cut: Cut, today: str) -> list[Shipment]:
    """Every shipment as the book stood at a cut, with what came back; `today` is an ISO day."""
    return shipments(_Legs(reader, cut).all(), papers(reader, cut), levels(reader, cut), today)


def levels(reader: Reader, cut: Cut) -> list[Tolerance]:
    """The tolerance table, the book's own figures in place of ours."""
    rows = reader.rows(
        "SELECT s.entry, s.body FROM service s WHERE s.type = 'setting' AND s.subject LIKE :wanted"
        f" AND {cut.counts('s', occurred=False)} ORDER BY s.entry, s.line",
        cut.params(wanted=f"setting:{SETTING}/%"),
    )
    own: dict[str, Any] = {}
    for entry, text in rows:
        body = json.loads(text)
        own[body["key"]] = (body["value"], entry)
    return tolerances(own)


def papers(reader: Reader, cut: Cut) -> Iterator[Paper]:
    """Every paper that came back about a shipment, in the order it was recorded."""
    names = Names(reader, cut)
    rows = reader.rows(
        "SELECT s.entry, s.occurred_on, s.body, j.person FROM service s JOIN journal j ON j.number"
        f" = s.entry WHERE s.type = 'reclaimer paper' AND {cut.counts('s')}"
        " ORDER BY s.entry, s.line",
        cut.params(),
    )
    for entry, day, text, person in rows:
        body = json.loads(text)
        get = body.get
        cylinder = names.kept("cylinder", body["cylinder"]) if "cylinder" in body else ""
        yield Paper(
            entry, day, body["shipment"], body["paper"], get("number", ""), cylinder, _net(body),
            get("credit_cents", 0), get("charge_cents", 0), get("purity", ""), get("result", ""),
            get("reason", ""), person,
        )  # fmt: skip


def _net(body: dict[str, Any]) -> int | None:
    """The net of a paper: as it says, else its gross less its tare."""
    if "net" in body:
        return int(body["net"][0])
    if "gross" in body and "tare" in body:
        return int(body["gross"][0]) - int(body["tare"][0])
    return None


class _Legs:
    """Reads what was shipped: movements, manifest lines and the weights of the same entries."""

    def __init__(self, reader: Reader, cut: Cut) -> None:
        self.reader, self.cut = reader, cut
        self.names = Names(reader, cut)
        self.masters = Masters(reader, cut, self.names)

    def all(self) -> Iterator[Leg]:
        """Every cylinder of every shipment."""
        weights = self._weights()
        told = {(entry, name): (line, day, ticket, body) for entry, line, day, ticket, name, body
                in self._told()}  # fmt: skip
        for entry, line, day, ticket, name, party, gas, stock, owner, mass in self._moved():
            _, _, _, body = told.pop((entry, name), (0, "", "", {}))
            yield self._leg(
                entry, line, day, ticket, name, party, body, weights.get((entry, name)),
                (gas, stock, owner, mass),
            )  # fmt: skip
        for (entry, name), (line, day, ticket, body) in told.items():
            party = self.names.kept("party", body["party"])
            yield self._leg(
                entry, line, day, ticket, name, party, body, weights.get((entry, name)),
                ("", "", "", 0),
            )  # fmt: skip

    def _leg(
        self, entry: int, line: int, day: str, ticket: str, name: str, party: str,
        body: dict[str, Any], gross: int | None, held: tuple[str, str, str, int],
    ) -> Leg:  # fmt: skip
        one = self.masters.one("cylinder", name)
        tare = tare_of(one, day) if one else None
        gas, stock, owner, mass = held
        return Leg(
            entry, line, day, party, ticket, name, one.text("kind") if one else "",
            gas or (one.text("refrigerant", day) if one else ""), stock, owner, mass, gross,
            tare.weight.mass if tare else None, body.get("purpose", "") or self._purpose(party),
            body.get("carrier", ""), body.get("seal", ""),
        )  # fmt: skip

    def _purpose(self, party: str) -> str:
        """What is shipped to a party for, where nobody said: by its role."""
        one = self.masters.one("party", party)
        role = one.text("role") if one else ""
        return {"reclaimer": "reclaim", "destruction facility": "destroy"}.get(role, "")

    def _moved(self) -> list[tuple[Any, ...]]:
        rows = self.reader.rows(
            "SELECT m.entry, m.line, m.occurred_on, m.ticket, m.source_name, m.target_name,"
            " m.refrigerant, m.stock, m.owner, m.mass FROM movement m WHERE m.purpose ="
            f" '{_SHIPMENT}' AND m.source_kind = 'cylinder' AND {self.cut.counts('m')}"
            " ORDER BY m.entry, m.line",
            self.cut.params(),
        )
        kept = self.names.kept
        return [
            (*head, kept("cylinder", name), kept("party", party), gas, stock, kept("party", owner),
             mass)
            for *head, name, party, gas, stock, owner, mass in rows
        ]  # fmt: skip

    def _told(self) -> Iterator[tuple[int, int, str, str, str, dict[str, Any]]]:
        rows = self.reader.rows(
            "SELECT s.entry, s.line, s.occurred_on, j.body, s.body FROM service s JOIN journal j ON"
            f" j.number = s.entry WHERE s.type = 'shipped' AND {self.cut.counts('s')}"
            " ORDER BY s.entry, s.line",
            self.cut.params(),
        )
        for entry, line, day, whole, text in rows:
            body = json.loads(text)
            ticket = json.loads(whole).get("ticket", "")
            yield entry, line, day, ticket, self.names.kept("cylinder", body["cylinder"]), body

    def _weights(self) -> dict[tuple[int, str], int]:
        rows = self.reader.rows(
            "SELECT w.entry, w.cylinder, w.gross FROM weighing w WHERE w.moment = 'alone' AND"
            f" {self.cut.counts('w')} ORDER BY w.entry, w.line",
            self.cut.params(),
        )
        return {(entry, self.names.kept("cylinder", name)): gross for entry, name, gross in rows}
