#!/bin/sh
# Starts a throwaway PostgreSQL 15 cluster for the tests and says where it is.
#
#   . .ci/postgres.sh                 exports TAREBOOK_TEST_POSTGRES into this shell
#   eval "$(.ci/postgres.sh)"         the same from a script
#
# The server refuses to run as root, so it runs as the user `postgres` when the caller is root.
# Nothing in the cluster is worth keeping: it lives in a new folder under ${TMPDIR:-/tmp} and
# listens on a free port of 127.0.0.1 only. Stop it with the `pg_ctl ... stop` line it prints.

tarebook_pg_bin=/usr/lib/postgresql/15/bin

tarebook_pg_install() {
    [ -x "$tarebook_pg_bin/initdb" ] && return 0
    if [ "$(id -u)" = 0 ]; then tarebook_sudo=; else tarebook_sudo=sudo; fi
    $tarebook_sudo apt-get update -qq >&2 &&
        DEBIAN_FRONTEND=noninteractive $tarebook_sudo apt-get install -qq -y postgresql-15 >&2
}

# Runs one command as the user the cluster belongs to.
tarebook_pg_as() {
    if [ "$(id -u)" = 0 ]; then runuser -u postgres -- "$@"; else "$@"; fi
}

tarebook_pg_free_port() {
    python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}

tarebook_pg_start() {
    tarebook_pg_install || return 1
    tarebook_pg_home=$(mktemp -d "${TMPDIR:-/tmp}/tarebook-pg.XXXXXX") || return 1
    if [ "$(id -u)" = 0 ]; then chown postgres "$tarebook_pg_home"; fi
    tarebook_pg_port=$(tarebook_pg_free_port) || return 1
    tarebook_pg_as "$tarebook_pg_bin/initdb" -D "$tarebook_pg_home/cluster" -U tarebook \
        --auth=trust --encoding=UTF8 --locale=C.UTF-8 --no-sync >&2 || return 1
    tarebook_pg_as "$tarebook_pg_bin/pg_ctl" -D "$tarebook_pg_home/cluster" -w -t 60 \
        -l "$tarebook_pg_home/log" -o "-p $tarebook_pg_port -h 127.0.0.1 -k $tarebook_pg_home \
        -c fsync=off -c max_connections=60" start >&2 || return 1
    tarebook_pg_as "$tarebook_pg_bin/createdb" -h 127.0.0.1 -p "$tarebook_pg_port" -U tarebook \
        tarebook >&2 || return 1
    echo "stop it: $tarebook_pg_bin/pg_ctl -D $tarebook_pg_home/cluster -m fast stop" >&2
    TAREBOOK_TEST_POSTGRES="postgresql://tarebook@127.0.0.1:$tarebook_pg_port/tarebook"
    export TAREBOOK_TEST_POSTGRES
    echo "export TAREBOOK_TEST_POSTGRES=$TAREBOOK_TEST_POSTGRES"
}

tarebook_pg_start
