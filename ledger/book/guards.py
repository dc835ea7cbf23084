"""The triggers that keep the journal append-only, declared once for both engines."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.facts.entry import GENESIS
from ledger.facts.problems import Problem, Refused

GUARDED = ("journal", "meta")
"""The tables that are only ever added to."""


@dataclass(frozen=True, slots=True)
class Guard:
    """One trigger, or one function a trigger calls: its name and the SQL that makes it."""

    name: str
    sql: str


def _sqlite_refusal(table: str, verb: str) -> Guard:
    name = f"{table}_no_{verb.lower()}"
    return Guard(
        name,
        f"CREATE TRIGGER {name} BEFORE {verb} ON {table} BEGIN "
        f"SELECT RAISE(ABORT, 'tarebook: {table} is only added to'); END",
    )


SQLITE: tuple[Guard, ...] = (
    *(_sqlite_refusal(table, verb) for table in GUARDED for verb in ("UPDATE", "DELETE")),
    # INSERT OR REPLACE removes the row in its way without a DELETE trigger, so an insert
    # that meets an existing row is refused before it happens.
    Guard(
        "journal_next",
        "CREATE TRIGGER journal_next BEFORE INSERT ON journal BEGIN "
        "SELECT RAISE(ABORT, 'tarebook: not the next number') "
        "WHERE NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM journal); "
        "SELECT RAISE(ABORT, 'tarebook: not chained to the last entry') "
        "WHERE NEW.previous IS NOT coalesce("
        f"(SELECT digest FROM journal WHERE number = NEW.number - 1), '{GENESIS}'); "
        "SELECT RAISE(ABORT, 'tarebook: key or digest already recorded') "
        "WHERE EXISTS (SELECT 1 FROM journal WHERE key = NEW.key) "
        "OR EXISTS (SELECT 1 FROM journal WHERE digest = NEW.digest); END",
    ),
    Guard(
        "meta_new",
        "CREATE TRIGGER meta_new BEFORE INSERT ON meta BEGIN "
        "SELECT RAISE(ABORT, 'tarebook: meta is only added to') "
        "WHERE EXISTS (SELECT 1 FROM meta WHERE name = NEW.name); END",
    ),
)
"""The triggers of a SQLite book, written as SQLite keeps them."""


def _postgres_functions(schema: str) -> tuple[Guard, ...]:
    return (
        Guard(
            "tarebook_refuse",
            " BEGIN RAISE EXCEPTION 'tarebook: % is only added to', TG_TABLE_NAME"
            " USING ERRCODE = 'integrity_constraint_violation'; END ",
        ),
        Guard(
            "tarebook_next",
            " DECLARE last record; BEGIN"
            f" SELECT number, digest INTO last FROM {schema}.journal"
            " ORDER BY number DESC LIMIT 1;"
            " IF NEW.number IS DISTINCT FROM coalesce(last.number, 0) + 1 THEN"
            " RAISE EXCEPTION 'tarebook: not the next number'"
            " USING ERRCODE = 'integrity_constraint_violation'; END IF;"
            f" IF NEW.previous IS DISTINCT FROM coalesce(last.digest, '{GENESIS}') THEN"
            " RAISE EXCEPTION 'tarebook: not chained to the last entry'"
            " USING ERRCODE = 'integrity_constraint_violation'; END IF;"
            " RETURN NEW; END ",
        ),
    )


def _postgres_triggers() -> tuple[Guard, ...]:
    refusals = tuple(
        Guard(
            f"{table}_no_{verb.lower()}",
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION tarebook_refuse()",
        )
        for table in GUARDED
        for verb in ("UPDATE", "DELETE", "TRUNCATE")
    )
    following = Guard(
        "journal_next",
        "CREATE TRIGGER journal_next BEFORE INSERT ON journal "
        "FOR EACH ROW EXECUTE FUNCTION tarebook_next()",
    )
    return (*refusals, following)


def declared(connection: Connection) -> dict[str, str]:
    """The guards a book on this connection must have: name to normalized SQL."""
    if connection.dialect.name == "sqlite":
        return {guard.name: guard.sql for guard in SQLITE}
    functions = _postgres_functions(_schema(connection))
    # ALWAYS: a session cannot step around them with session_replication_role.
    triggers = {guard.name: f"{guard.sql} [A]" for guard in _postgres_triggers()}
    return triggers | {guard.name: guard.sql for guard in functions}


def found(connection: Connection) -> dict[str, str]:
    """The triggers and trigger functions that are there, whoever made them."""
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE type='trigger'"
        )
        return {name: _normal(sql) for name, sql in rows}
    triggers = connection.exec_driver_sql(
        "SELECT t.tgname, pg_get_triggerdef(t.oid, true), t.tgenabled::text FROM pg_trigger t"
        " JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace"
        " WHERE n.nspname = current_schema() AND NOT t.tgisinternal"
    )
    there = {name: f"{_normal(sql)} [{enabled}]" for name, sql, enabled in triggers}
    functions = connection.exec_driver_sql(
        "SELECT p.proname, p.prosrc FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace"
        " WHERE n.nspname = current_schema() AND starts_with(p.proname, 'tarebook')"
    )
    return there | {str(name): str(source) for name, source in functions}


def create(connection: Connection) -> None:
    """Make the guards of a new journal; the tables are there and have none."""
    if connection.dialect.name == "sqlite":
        for guard in SQLITE:
            connection.exec_driver_sql(guard.sql)
        return
    for guard in _postgres_functions(_schema(connection)):
        source = guard.sql.replace("%", "%%")
        connection.exec_driver_sql(
            f"CREATE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql"
            f" AS $guard${source}$guard$"
        )
    for guard in _postgres_triggers():
        table = "meta" if guard.name.startswith("meta") else "journal"
        connection.exec_driver_sql(guard.sql)
        connection.exec_driver_sql(f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {guard.name}")


def guard_problems(connection: Connection) -> list[Problem]:
    """Each guard that is missing, altered or not ours, as a problem `book-damaged`."""
    wanted, there = declared(connection), found(connection)
    problems = []
    for name in sorted(wanted.keys() | there.keys()):
        if wanted.get(name) == there.get(name):
            continue
        what = "is missing" if name not in there else "is not one of the program's"
        what = "was altered" if name in wanted and name in there else what
        problems.append(
            Problem(
                "book-damaged",
                f"The guard {name} of the journal {what}.",
                "Restore the book from a backup and compare the two with verify.",
                name,
            )
        )
    return problems


def assert_guards(connection: Connection) -> None:
    """Refused with `book-damaged` unless the trigger set is exactly the declared one."""
    if problems := guard_problems(connection):
        raise Refused(problems)


def _normal(sql: str) -> str:
    return " ".join(sql.split())


def _schema(connection: Connection) -> str:
    name = connection.exec_driver_sql("SELECT quote_ident(current_schema())").scalar_one()
    return str(name)
