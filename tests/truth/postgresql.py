"""A PostgreSQL of the tests' own: on loopback, with a password, as a user without privileges."""

import contextlib
import os
import pwd
import secrets
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

OWNER = "lees"


@dataclass(frozen=True)
class Cluster:
    """A running server; `environment` is what a client needs to be let in."""

    port: int
    environment: dict[str, str]
    folder: Path
    log: Path

    def address(self, database: str, files: Path | str | None = None) -> str:
        place = f"?files={files}" if files is not None else ""
        return f"postgresql://{OWNER}@127.0.0.1:{self.port}/{database}{place}"

    def create(self, database: str) -> None:
        self.run("createdb", database)

    def run(self, command: str, *arguments: str) -> str:
        place = ("-h", "127.0.0.1", "-p", str(self.port), "-U", OWNER)
        done = subprocess.run(
            [str(program(command)), *place, *arguments],
            env=os.environ | self.environment,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout


def program(name: str) -> Path | None:
    """Return a program of PostgreSQL, also from where Debian keeps those of the server."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), key=lambda p: p.parts[4])
    if found:
        return found[-1]
    on_path = shutil.which(name)
    return Path(on_path) if on_path else None


@contextlib.contextmanager
def cluster(*, fsync: bool = False) -> Iterator[Cluster]:
    """Start a server for as long as it is needed, in a folder that goes with it."""
    folder = Path(tempfile.mkdtemp(prefix="lees-pg-"))
    who = {} if os.geteuid() else _unprivileged(folder)
    data, log = folder / "data", folder / "log"
    password, password_file = secrets.token_hex(8), folder / "password"
    password_file.write_text(password)
    pass_file = folder / "pgpass"
    pass_file.write_text(f"127.0.0.1:*:*:{OWNER}:{password}\n")
    pass_file.chmod(0o600)
    password_file.chmod(0o644)
    port = _free_port()
    initialise = [program("initdb"), "-D", data, "-U", OWNER, "-A", "scram-sha-256"]
    initialise += ["--pwfile", password_file, "-E", "UTF8", "--locale", "C", "--no-sync"]
    settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories='' "
    settings += f"-c fsync={'on' if fsync else 'off'} -c max_connections=60"
    start = [program("pg_ctl"), "-D", data, "-l", log, "-w", "-o", settings, "start"]
    stop = [program("pg_ctl"), "-D", data, "-m", "immediate", "-w", "stop"]
    try:
        _do(initialise, who)
        _do(start, who)
        try:
            yield Cluster(port, {"PGPASSFILE": str(pass_file)}, folder, log)
        finally:
            _do(stop, who)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _do(command, who) -> None:
    done = subprocess.run(
        [str(part) for part in command],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd="/",
        **who,
    )
    assert done.returncode == 0, f"{command[0]} ended with {done.returncode}"


def _unprivileged(folder: Path) -> dict[str, object]:
    """Return what runs a command as somebody else than root, who owns the folder."""
    names = [entry.pw_name for entry in pwd.getpwall()]
    who = pwd.getpwnam("postgres" if "postgres" in names else "nobody")
    os.chown(folder, who.pw_uid, who.pw_gid)
    folder.chmod(0o755)
    return {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
