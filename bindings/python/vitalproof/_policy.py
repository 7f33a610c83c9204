"""What is done with the values that a finding speaks of."""

from collections.abc import Mapping

from vitalproof import _core
from vitalproof._catalogue import checks, names_from_closest, signs

Given = Mapping[str, str | Mapping[str, str]]

ACTIONS = ("keep", "null", "convert")
# What cannot stand as charted goes; all else stays.
DEFAULT: dict[str, str | Mapping[str, str]] = {"reject": "null"}


class Policy:
    """An action for each check, or for each sign it speaks of; what is not named is kept."""

    def __init__(self, given: Given | None) -> None:
        self.rules = DEFAULT | dict(given or {})
        known = sorted({name for check in checks.values() for name in names_from_closest(check)})
        for name, rule in self.rules.items():
            if name not in known:
                suggested = _core.suggestion(name, known)
                raise ValueError(f'the policy names "{name}", which is no check.{suggested}')
            for action in [rule] if isinstance(rule, str) else rule.values():
                if action not in ACTIONS:
                    raise ValueError(f'"{action}" for {name} is none of {", ".join(ACTIONS)}')
            for sign in [] if isinstance(rule, str) else rule:
                if sign not in signs:
                    suggested = _core.suggestion(sign, list(signs))
                    raise ValueError(f'"{sign}" for {name} is no vital sign.{suggested}')

    def action(self, code: str, sign: str) -> str:
        """What is done with a sign's value; the closest name that is given counts."""
        for name in names_from_closest(checks[code]):
            if name in self.rules:
                rule = self.rules[name]
                return rule if isinstance(rule, str) else rule.get(sign, "keep")
        return "keep"

    def codes(self, action: str) -> list[str]:
        """The checks with the action for any of their signs."""
        return [
            code
            for code, check in checks.items()
            if any(self.action(code, sign) == action for sign in check.signs)
        ]
