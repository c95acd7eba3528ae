"""What can go wrong with an archive, one class a reason, each with what to do about it."""

from __future__ import annotations

from lees.errors import LeesError, UnusableInput, printable


class NoArchive(UnusableInput):
    """There is no archive where one was looked for."""


class NotAnAddress(UnusableInput):
    """A text that names no place where an archive could be."""


class PasswordInAddress(UnusableInput):
    """A password was written where others can read it: in the address."""

    def __init__(self) -> None:
        super().__init__(
            "The address holds a password, and a command line can be read by others; leave it out "
            "and set PGPASSWORD, or put it into the file ~/.pgpass."
        )


class NetworkShare(UnusableInput):
    """The folder lies on a network share, where SQLite's locks cannot be trusted."""

    def __init__(self, folder: str, kind: str) -> None:
        self.folder, self.kind = folder, kind
        super().__init__(
            f"{printable(folder)} lies on a network share ({kind}), where two programs can damage "
            "the archive; keep it on a disk of this machine, or use postgresql://… to share it."
        )


class NewerArchive(UnusableInput):
    """The archive was written by a later version of this program."""

    def __init__(self, revision: str) -> None:
        self.revision = revision
        super().__init__(
            f"This archive was written by a newer version of Lees (its tables are at step "
            f"“{printable(revision, 20)}”); bring Lees up to date. Nothing was changed."
        )


class DamagedArchive(UnusableInput):
    """The database or its file is damaged."""


class ArchiveOutOfReach(UnusableInput):
    """The database does not answer or does not let us in."""


class ArchiveReadOnly(UnusableInput):
    """The archive cannot be written to."""


class DiskFull(UnusableInput):
    """There is no room left; what was being stored was taken back whole."""


class ArchiveBusy(UnusableInput):
    """Others kept writing for longer than we wait."""


class DatabaseTrouble(UnusableInput):
    """The database refused for a reason that we have no better line for."""


class Clash(LeesError):
    """Two writers met in the database; the act is tried again."""


class NotABackup(UnusableInput):
    """A file that is no backup, or one that is only half there."""


class PlaceTaken(UnusableInput):
    """A place that should be new has something in it; nothing is ever written over it."""

    def __init__(self, place: str) -> None:
        self.place = place
        super().__init__(
            f"{printable(place)} is there already; name a place that is not, nothing is "
            "written over."
        )


class ToolMissing(UnusableInput):
    """A program of the database that is needed is not installed."""

    def __init__(self, tool: str) -> None:
        self.tool = tool
        super().__init__(
            f"The database's own program {tool} is not installed here; install PostgreSQL's "
            "client programs (on Debian: apt install postgresql-client), or work on a machine "
            "that has them."
        )


class FileMissing(UnusableInput):
    """A kept file is no longer in the archive's folder."""

    def __init__(self, sha256: str, place: str) -> None:
        self.sha256 = sha256
        super().__init__(
            f"The kept file {sha256[:12]}… is gone from {printable(place)}; "
            "fetch it from the latest backup (lees archive restore)."
        )


class FileAltered(UnusableInput):
    """A kept file no longer has the content it was stored with."""

    def __init__(self, sha256: str, place: str) -> None:
        self.sha256 = sha256
        super().__init__(
            f"The kept file {sha256[:12]}… in {printable(place)} has been altered since it was "
            "stored; fetch it from the latest backup (lees archive restore)."
        )


class UnsafeName(UnusableInput):
    """A file name that could reach outside its folder, or that some systems cannot keep."""

    def __init__(self, name: str, reason: str) -> None:
        self.name, self.reason = name, reason
        super().__init__(f"The file name “{printable(name)}” {reason}; rename the file.")


class NotFound(LeesError):
    """Nothing in the archive goes by that reference."""

    def __init__(self, what: str, ref: str) -> None:
        self.what, self.ref = what, ref
        super().__init__(
            f"There is no {what} “{printable(ref)}” in this archive; "
            "look it up with lees archive list or find."
        )


class InTheBin(LeesError):
    """A thing in the bin cannot be changed."""

    def __init__(self, what: str, ref: str) -> None:
        self.what, self.ref = what, ref
        super().__init__(
            f"The {what} “{printable(ref)}” is in the bin; take it out first "
            f"(lees archive unbin {printable(ref)})."
        )


class ChangedMeanwhile(LeesError):
    """Somebody else changed the same field since it was read; nothing was overwritten."""

    def __init__(self, field: str, who: str, when: str) -> None:
        self.field, self.who, self.when = field, who, when
        super().__init__(
            f"“{printable(field)}” was changed by {printable(who)} at {when}, after you read it; "
            "nothing was overwritten. Look at it again and decide."
        )


class CannotUndo(LeesError):
    """A change cannot be taken back, because later ones stand on it."""


class NotAField(LeesError):
    """A field to sort, filter or compare by that no case has."""

    def __init__(self, field: str) -> None:
        self.field = field
        super().__init__(
            f"No case has a field “{printable(field)}”; lees archive fields lists those there are."
        )


class UnknownUser(LeesError):
    """Nobody by that name works with this archive."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(
            f"Nobody named “{printable(name)}” works with this archive; somebody who does can add "
            f"them: lees archive users add NAME --role works."
        )


class MayOnlyRead(LeesError):
    """A user with the role *reads* tried to write."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(
            f"{printable(name)} may read this archive and not write to it; "
            "ask somebody with the role “works”."
        )
