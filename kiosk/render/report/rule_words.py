"""Single rules in words, as a person at the counter would say them."""

from __future__ import annotations

from kiosk.core.base.decision import Consequence, Decision
from kiosk.core.base.geometry import Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Evidence, Length, Limit, Provenance, Statement, range_words
from kiosk.core.document.requirements import (
    Channel,
    ChannelRule,
    CoveringRule,
    CropRule,
    DeliveryRule,
    FurtherRule,
    HeadTopRule,
    PhotoSize,
    PrintCount,
    Relaxation,
    VisibleRule,
)
from kiosk.core.document.upload import FileSizeRule, FormatRule, PixelRule

CHANNEL_WORDS: dict[Channel, str] = {
    "self_service": "accepted",
    "with_conditions": "with conditions",
    "not_accepted": "not accepted",
    "unconfirmed": "ask the office",
}
EVIDENCE_WORDS: dict[Evidence, str] = {
    "primary": "read at the authority",
    "quoted": "read in a quotation",
    "memory": "from memory, not verified",
    "computed": "computed",
    "practice": "practice",
    "measured": "measured",
}
DECISION_WORDS: dict[Decision, str] = {
    "simple": "passes inside, fails outside",
    "guarded_acceptance": "passes when surely inside, fails outside",
    "guarded_rejection": "passes inside, fails when surely outside",
    "guarded": "passes when surely inside, fails when surely outside",
    "benefit_of_doubt": "fails only when surely outside",
}
CONSEQUENCE_WORDS: dict[Consequence, str] = {
    "refuse": "",
    "refer": "; instead of failing, left to a person",
    "advise": "; reported as advice, never refused",
}
_LABELS = {
    "channel": "From a booth",
    "size": "Size of the print",
    "card": "Set in a card or holder of",
    "head_top": "Top of the head",
    "head_height": "Head height",
    "eye_line": "Eye line above the lower edge",
    "margin_above": "Room above the head",
    "margin_below": "Room below the chin",
    "eyes_from_top": "Eye line below the upper edge",
    "chin_to_eyes": "From the chin to the eyes",
    "eye_distance": "Between the eyes",
    "face_centre": "Middle of the face from the left edge",
    "covering": "Head covering",
    "visible": "Parts to be seen",
    "monochrome": "Black and white",
    "resolution": "Pixels at that size",
    "back": "Back of the print",
    "scan": "Scan of a print",
    "crop": "Cropped picture",
    "prints": "Prints to hand in",
    "recency": "Age of the photo",
    "upload.pixels": "Picture to upload",
    "upload.file": "Size of the file",
    "upload.formats": "Format of the file",
    "upload.compression": "Compression of the file",
    "upload.colour": "Colour of the file",
    "upload.background": "Background of the file",
    "upload.signature": "Picture of the signature, made elsewhere",
    "contradicted_by": "Another source",
    "relaxations": "Children",
}
_WORN_FOR = {"religion": "religion", "medicine": "medical reasons", "custom": "custom"}
_LENGTH_UNITS = {
    "mm": "mm",
    "in": "in",
    "fraction": "% of the photo's height",
    "fraction_of_width": "% of the photo's width",
}
_UNITS = {"deg": "°", "ratio": "", "fraction": "", "count": "", "dE": "ΔE"}
_TOPS = {"crown": "the crown, as if there were no hair", "hair": "the top of the hair"}


def rule_words(rule: Provenance) -> str:
    """Return what a rule requires, without its source."""
    match rule:
        case Length():
            percent = 100.0 if rule.unit.startswith("fraction") else 1.0
            words = range_words(rule.published.scaled(percent), _LENGTH_UNITS[rule.unit])
            in_mm = f" ({range_words(rule.published.scaled(MM_PER_INCH), 'mm')})"
            return words + (in_mm if rule.unit == "in" else "") + _refusal_words(rule, percent)
        case Limit():
            return range_words(rule.published, _UNITS.get(rule.unit, rule.unit)) + _decision_words(rule)
        case PhotoSize():
            return _size_words(rule)
        case PixelRule():
            return _pixel_words(rule)
        case FileSizeRule():
            least = f"{rule.min_bytes:,} to " if rule.min_bytes else "at most "
            return f"{least}{rule.max_bytes:,} bytes"
        case FormatRule():
            return ", ".join(name.upper() for name in rule.values)
        case PrintCount():
            return str(rule.count)
        case HeadTopRule():
            return _TOPS[rule.value]
        case ChannelRule():
            return f"{CHANNEL_WORDS[rule.value]}. {rule.text}"
        case Statement():
            return _statement_words(rule)
    raise AssertionError(f"no words for a {type(rule).__name__}")


def _statement_words(rule: Statement) -> str:
    """Return a rule in words, and what it means for this booth."""
    match rule:
        case Relaxation():
            years = "year" if rule.below_age_years == 1 else "years"
            return f"{rule.text} (From {rule.from_age_years} to below {rule.below_age_years} {years}.)"
        case CoveringRule():
            reasons = " or ".join(_WORN_FOR[reason] for reason in rule.worn_for)
            return f"{rule.text} (For {f'{reasons} only' if reasons else 'nobody'}.)"
        case DeliveryRule() if rule.is_beyond_booth:
            return f"{rule.text} (This booth cannot deliver it that way.)"
        case CropRule(allowed=False):
            return f"{rule.text} (This booth crops every picture.)"
        case VisibleRule() | FurtherRule(by_eye=True):
            return f"{rule.text} (Not measured: reported as advice.)"
    return rule.text


def _refusal_words(rule: Length, percent: float) -> str:
    """Return from where on a photo is refused, where that is further out than what is asked."""
    ends = ((rule.refused_below, "below"), (rule.refused_above, "above"))
    words = " or ".join(f"{side} {end * percent:.5g}" for end, side in ends if end is not None)
    return f"; refused only {words} {_LENGTH_UNITS[rule.unit]}" if words else ""


def _size_words(rule: PhotoSize) -> str:
    """Return the size of a print, and up to which or in which others it is taken."""
    words = size_words(Size(rule.width, rule.height), rule.unit)
    if rule.unit != "mm":
        words = f"{words} ({size_words(rule.size_mm, 'mm')})"
    if rule.max_width is not None or rule.max_height is not None:
        largest = Size(rule.max_width or rule.width, rule.max_height or rule.height)
        words = f"{words}, up to {size_words(largest, rule.unit)}"
    others = [size_words(Size(other.width, other.height), rule.unit) for other in rule.also]
    return f"{words}; also {', '.join(others)}" if others else words


def rule_state_words(rule: Provenance) -> str:
    """Return since when a rule holds and whether it still does, where that is known."""
    since = f"in force from {rule.effective_from}" if rule.effective_from else ""
    return "; ".join(filter(None, (since, "superseded, binds no more" if rule.superseded else "")))


def _decision_words(rule: Limit) -> str:
    """Return the decision rule of a limit in words, or an empty string if it has none."""
    if not isinstance(rule, CaptureLimit):
        return ""
    return f"; {DECISION_WORDS[rule.decision]}{CONSEQUENCE_WORDS[rule.consequence]}"


def binding_words(rule: Provenance, document: Document) -> str:
    """Return what binds where another source narrows the rule, or an empty string where none does."""
    match rule:
        case Length() if rule.is_narrowed(document.frame_mm):
            return range_words(rule.range_mm(document.frame_mm), "mm")
        case Length():
            return ""
        case Limit() if rule.range != rule.published:
            return range_words(rule.range, _UNITS.get(rule.unit, rule.unit))
        case BackgroundRule() if rule.is_narrowed:
            return ", ".join(colour.name for colour in rule.colours)
    return ""


def size_words(size: Size, unit: str) -> str:
    """Return a size in the form `width x height unit`."""
    return f"{size.width:g} x {size.height:g} {unit}"


def label(key: str) -> str:
    """Return a rule's key as a heading."""
    last = [part for part in key.split(".") if not part.isdigit()][-1]
    return _LABELS.get(key) or _LABELS.get(last) or last.replace("_", " ").capitalize()


def _pixel_words(rule: PixelRule) -> str:
    smallest = size_words(Size(rule.min_width, rule.min_height), "px")
    words = f"at least {smallest}"
    if rule.max_width is not None and rule.max_height is not None:
        largest = size_words(Size(rule.max_width, rule.max_height), "px")
        words = f"exactly {smallest}" if smallest == largest else f"{smallest} to {largest}"
    return words if rule.aspect is None else f"{words}, {rule.aspect[0]} : {rule.aspect[1]}"
