"""Orders about entries, fixes and alerts, and the remark."""

from typing import Any

from pydantic import Field

from middlewatch.readings.entries import (
    Acknowledge,
    Adopt,
    Amend,
    Confirm,
    FixOrder,
    Quiet,
    Remark,
    Silence,
    TrustSatellites,
    Withdraw,
)
from middlewatch.wire.entry_fields import (
    AlertWord,
    EntryFields,
    EntryId,
    FixId,
    Revision,
    Words,
)
from middlewatch.wire.plain_json import canonical
from middlewatch.wire.refusals import RefusedError, shown


class AdoptFields(EntryFields):
    """`adopt`."""

    fix: FixId

    def request(self) -> Adopt:
        """Return the adoption."""
        return Adopt(self.fix)


class FixFields(EntryFields):
    """`fix`: of the entries named."""

    using: list[EntryId] = Field(min_length=1, description="a list of entry ids, one at least")

    def request(self) -> FixOrder:
        """Return the fix asked for; an entry named twice would weigh twice."""
        if len(set(self.using)) < len(self.using):
            raise RefusedError("using", shown(self.using), "each entry once", "an entry is named twice")
        return FixOrder(tuple(self.using))


class WithdrawFields(EntryFields):
    """`withdraw`: an id, or `last`."""

    entry: EntryId

    def request(self) -> Withdraw:
        """Return the withdrawal."""
        return Withdraw(self.entry)


class AmendFields(EntryFields):
    """`amend`: an id, or `last`, and the fields to change; null takes a field out."""

    entry: EntryId
    change: dict[str, Any] = Field(
        min_length=1, description="an object of the fields to change, one at least"
    )

    def request(self) -> Amend:
        """Return the change, not yet tried on its entry."""
        if "id" in self.change:
            raise RefusedError(
                "change.id", shown(self.change["id"]), "other fields", "an entry's id stays what it is"
            )
        if "kind" in self.change:
            found = shown(self.change["kind"])
            raise RefusedError("change.kind", found, "withdraw, and enter anew", "a kind cannot be amended")
        return Amend(self.entry, canonical(self.change))


class ConfirmFields(EntryFields):
    """`confirm`."""

    entry: EntryId

    def request(self) -> Confirm:
        """Return the confirmation."""
        return Confirm(self.entry)


class TrustSatellitesFields(EntryFields):
    """`trust_satellites`."""

    anyway: bool = Field(default=False, description="true or false")

    def request(self) -> TrustSatellites:
        """Return the trust."""
        return TrustSatellites(self.anyway)


class AcknowledgeFields(EntryFields):
    """`acknowledge`."""

    alert: AlertWord
    revision: Revision | None = None

    def request(self) -> Acknowledge:
        """Return the acknowledgement."""
        return Acknowledge(self.alert, self.revision)


class SilenceFields(EntryFields):
    """`silence`."""

    alert: AlertWord
    revision: Revision | None = None

    def request(self) -> Silence:
        """Return the silencing."""
        return Silence(self.alert, self.revision)


class QuietFields(EntryFields):
    """`quiet`."""

    def request(self) -> Quiet:
        """Return the quiet."""
        return Quiet()


class RemarkFields(EntryFields):
    """`remark`."""

    text: Words

    def request(self) -> Remark:
        """Return the remark."""
        return Remark(self.text)
