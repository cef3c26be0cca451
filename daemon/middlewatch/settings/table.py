"""What all tables of the settings have in common: strict, frozen, no unknown key; and files named in them."""

from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationInfo, model_validator

from middlewatch.settings.refusal import unknown_key, wrong


class Table(BaseModel):
    """A table of settings: nothing converted, nothing unknown let by, nothing changed later."""

    model_config = ConfigDict(
        strict=True, frozen=True, extra="forbid", allow_inf_nan=False, validate_default=True
    )

    @model_validator(mode="before")
    @classmethod
    def _known_keys_only(cls, keys: Any) -> Any:
        """Refuse an unknown key by name, with the one that may have been meant."""
        if isinstance(keys, dict):
            for key in keys:
                if key not in cls.model_fields:
                    raise unknown_key(str(key), cls.model_fields)
        return keys


def _beside_the_settings(value: object, info: ValidationInfo) -> Path:
    """Read a file's name; a relative one stands beside the settings file, whose folder is the context."""
    if not isinstance(value, str | Path) or not str(value) or "\0" in str(value):
        raise wrong("", value, "the name of a file")
    return Path(value) if info.context is None else Path(info.context, value)


def _beside_if_named(value: object, info: ValidationInfo) -> Path | None:
    return None if value is None or value == "" else _beside_the_settings(value, info)


def _there(file: Path | None) -> Path | None:
    if file is not None and not file.is_file():
        raise wrong("", file, "a file that is there")
    return file


File = Annotated[Path, BeforeValidator(_beside_the_settings)]
"""A file; a relative name is beside the settings file."""

OptionalFile = Annotated[Path | None, BeforeValidator(_beside_if_named)]
"""The same, None where the name is empty."""

OptionalFileThere = Annotated[OptionalFile, AfterValidator(_there)]
"""The same, and where it is named it has to be there."""
