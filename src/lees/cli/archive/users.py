"""`lees archive users`: who works with the archive, and who may only read it."""

from __future__ import annotations

from typing import Annotated, Literal

from cyclopts import Parameter

from lees.cli.archive.common import HERE, Where, command, opened
from lees.errors import printable

Role = Literal["reads", "works"]
users_app = command("users")


@users_app.default
def users(*, where: Where = HERE) -> None:
    """List everybody, those who left too."""
    from lees.archive.people import people

    with opened(where) as archive:
        for person in people(archive):
            left = f", left {person.left_at[:10]}" if person.left_at else ""
            print(f"{printable(person.name, 40)}  {person.role}{left}")


@users_app.command
def add(
    name: str,
    *,
    role: Annotated[Role, Parameter(help="What they may do.")] = "works",
    where: Where = HERE,
) -> None:
    """Let somebody in; one who had left comes back under the same name."""
    from lees.archive.people import add_person

    with opened(where) as archive:
        add_person(archive, name, role)
    print(f"{printable(name)} {role}.")


@users_app.command(name="role")
def set_role(name: str, role: Role, *, where: Where = HERE) -> None:
    """Change what somebody may do."""
    from lees.archive import people

    with opened(where) as archive:
        people.set_role(archive, name, role)
    print(f"{printable(name)} {role}.")


@users_app.command(name="let-go")
def let_go(name: str, *, where: Where = HERE) -> None:
    """Let somebody in no more; what they did stays under their name."""
    from lees.archive import people

    with opened(where) as archive:
        people.let_go(archive, name)
    print(f"{printable(name)} has left.")
