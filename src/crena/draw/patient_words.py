"""What the patient's sheet says, in both languages: short sentences, no dose, no drug.

A name in braces stands for a day of the schedule: the code of its entry. A sentence with such
a day has a second form for the case that the schedule does not hold it.

What to do and when to call is common practice, from memory (assumed), but for the laser:
Pronk 2018.
"""

from dataclasses import dataclass

from crena.records import ClosureKind, Language, Record, Side
from crena.records.statements import CAUTION


@dataclass(frozen=True, slots=True, kw_only=True)
class Both(Record):
    """The same words in both languages."""

    english: str
    german: str


def said(words: Both, language: Language) -> str:
    """Return the words in one language.

    >>> said(Both(english="Sport", german="Sport treiben"), Language.GERMAN)
    'Sport treiben'
    """
    return words.german if language is Language.GERMAN else words.english


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientTask(Record):
    """A common entry of the schedule, as the patient reads it."""

    stands_for: str  #: the common task; an entry with another task keeps its own text
    words: Both


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice(Record):
    """One matter of daily life."""

    code: str
    heading: Both
    dated: Both  #: with days of the schedule in braces, or without
    undated: Both | None = None  #: instead, if the schedule lacks one of those days


TASKS = {
    "drain": PatientTask(
        stands_for="Read the drain, write its volume down, empty it",
        words=Both(
            english="The nurse reads and empties your drain, each day until it is out.",
            german="Die Pflege misst und leert die Drainage, jeden Tag, bis sie entfernt ist.",
        ),
    ),
    "stitches-half": PatientTask(
        stands_for="Take out every second skin stitch",
        words=Both(
            english="Every second stitch comes out.",
            german="Jeder zweite Faden kommt raus.",
        ),
    ),
    "stitches-rest": PatientTask(
        stands_for="Take out the other skin stitches",
        words=Both(
            english="The rest of the stitches come out.",
            german="Der Rest der Fäden kommt raus.",
        ),
    ),
    "visit": PatientTask(
        stands_for="Visit: flap, wound and scar",
        words=Both(
            english="Check-up: we look at your wound.",
            german="Kontrolle: Wir sehen uns die Wunde an.",
        ),
    ),
    "contact": PatientTask(
        stands_for="Telephone: pain, discharge, another operation?",
        words=Both(
            english="We phone you and ask how you are.",
            german="Wir rufen Sie an und fragen, wie es geht.",
        ),
    ),
    "histology": PatientTask(
        stands_for="Read the histology of the specimen and tell the patient",
        words=Both(
            english="We tell you what the laboratory found.",
            german="Wir sagen Ihnen, was das Labor fand.",
        ),
    ),
    "sitting": PatientTask(
        stands_for="Sitting straight is allowed again",
        words=Both(
            english="You may sit up straight again.",
            german="Sie dürfen wieder gerade sitzen.",
        ),
    ),
    "desk-work": PatientTask(
        stands_for="Work at a desk",
        words=Both(
            english="You may work at a desk.",
            german="Sie dürfen am Tisch arbeiten.",
        ),
    ),
    "heavy-work": PatientTask(
        stands_for="Work with lifting",
        words=Both(
            english="You may lift at work.",
            german="Sie dürfen bei der Arbeit heben.",
        ),
    ),
    "sport": PatientTask(
        stands_for="Sport",
        words=Both(english="You may do sport.", german="Sie dürfen Sport machen."),
    ),
    "hair": PatientTask(
        stands_for="Hair removal may begin",
        words=Both(
            english="You may start to remove hair.",
            german="Die Haare dürfen nun weg.",
        ),
    ),
}
"""By the code of a rule: what stands in the patient's list of days."""

ADVICE = (
    Advice(
        code="lying",
        heading=Both(english="Lying", german="Liegen"),
        dated=Both(
            english="Lie on your front or your side. Get up and walk on the first day. "
            "To stand up, turn to your side first.",
            german="Liegen Sie auf Bauch oder Seite. Gehen Sie schon am ersten Tag. "
            "Drehen Sie sich zum Aufstehen erst auf die Seite.",
        ),
    ),
    Advice(
        code="sitting",
        heading=Both(english="Sitting", german="Sitzen"),
        dated=Both(
            english="Do not sit up straight before *{sitting}*. If you must sit, perch on a "
            "cushion. You may use the toilet. Do not drive far before that day.",
            german="Sitzen Sie nicht gerade vor *{sitting}*. Geht es nicht anders, dann kurz "
            "auf einem Kissen. Die Toilette ist erlaubt. Fahren Sie bis dahin nicht weit.",
        ),
        undated=Both(
            english="Ask us when you may sit up straight. Until then, perch on a cushion if you "
            "must sit. You may use the toilet. Do not drive far.",
            german="Fragen Sie uns, wann Sie gerade sitzen dürfen. Bis dahin nur kurz auf einem "
            "Kissen. Die Toilette ist erlaubt. Fahren Sie nicht weit.",
        ),
    ),
    Advice(
        code="washing",
        heading=Both(english="Washing", german="Waschen"),
        dated=Both(
            english="From day 2 you may take a shower. Pat the wound dry. Rinse and dry it each "
            "time you pass stool. No bath and no pool till the wound is closed. No cream, no "
            "powder. Wear cotton pants.",
            german="Ab Tag 2 dürfen Sie duschen. Tupfen Sie die Wunde trocken. Nach dem Stuhlgang "
            "spülen und tupfen Sie sie auch. Kein Vollbad und kein Pool, bis die Wunde zu ist. "
            "Keine Creme, kein Puder. Tragen Sie Wäsche aus Baumwolle.",
        ),
    ),
    Advice(
        code="drain",
        heading=Both(english="Drain", german="Drainage"),
        dated=Both(
            english="A thin tube takes fluid out of the wound. Do not pull on it. Call us if it "
            "stops all at once, or if the fluid is bright red, thick or smells bad.",
            german="Ein dünner Schlauch leitet Wundwasser ab. Ziehen Sie nicht daran. Rufen Sie "
            "an, wenn auf einmal nichts mehr läuft. Auch wenn es hellrot oder trüb ist oder "
            "schlecht riecht.",
        ),
    ),
    Advice(
        code="work",
        heading=Both(english="Work", german="Arbeit"),
        dated=Both(
            english="At a desk: from *{desk-work}*. With lifting: from *{heavy-work}*. Lift "
            "nothing that weighs much before then.",
            german="Am Tisch: ab *{desk-work}*. Mit Heben: ab *{heavy-work}*. Heben Sie bis "
            "dahin nichts, was schwer ist.",
        ),
        undated=Both(
            english="Ask us when you may go back to work. Lift nothing that weighs much.",
            german="Fragen Sie uns, ab wann Sie wieder zur Arbeit gehen. Heben Sie nichts, was "
            "schwer ist.",
        ),
    ),
    Advice(
        code="sport",
        heading=Both(english="Sport", german="Sport"),
        dated=Both(
            english="No sport before *{sport}*. Go for a walk each day.",
            german="Kein Sport vor *{sport}*. Gehen Sie jeden Tag zu Fuß.",
        ),
        undated=Both(
            english="Ask us when you may do sport. Go for a walk each day.",
            german="Fragen Sie uns, ab wann Sport geht. Gehen Sie jeden Tag zu Fuß.",
        ),
    ),
    Advice(
        code="hair",
        heading=Both(english="Hair", german="Haare"),
        dated=Both(
            english="You may remove hair round the scar from *{hair}*, if the skin is healed. A "
            "laser works best. Do not shave for years on end. When you have had a hair cut, "
            "rinse your back: loose hair can get into the skin.",
            german="Haare um die Narbe dürfen ab *{hair}* weg, wenn die Haut heil ist. Am besten "
            "hilft ein Laser. Auf Dauer nicht rasieren. Spülen Sie nach dem Haarschnitt den "
            "Rücken ab: Lose Haare können in die Haut dringen.",
        ),
        undated=Both(
            english="Ask us when to remove hair round the scar. A laser works best. Do not shave "
            "for years on end. When you have had a hair cut, rinse your back: loose hair can get "
            "into the skin.",
            german="Fragen Sie uns, ab wann die Haare um die Narbe weg dürfen. Am besten hilft "
            "ein Laser. Auf Dauer nicht rasieren. Spülen Sie nach dem Haarschnitt den Rücken ab: "
            "Lose Haare können in die Haut dringen.",
        ),
    ),
)
"""Day by day, in the order in which it is needed."""

CALL_AT_ONCE = (
    Both(english="You have a fever of 38 °C or more.", german="Sie haben Fieber ab 38 °C."),
    Both(english="The skin turns red and the red spreads.", german="Die Haut wird weithin rot."),
    Both(english="Pus comes out of the wound.", german="Aus der Wunde kommt Eiter."),
    Both(english="It swells up or hurts much more.", german="Es schwillt an oder tut mehr weh."),
    Both(english="Blood soaks through the dressing.", german="Blut dringt durch den Verband."),
    Both(
        english="The flap turns dark, blue or white.",
        german="Der Lappen wird dunkel, blau oder weiß.",
    ),
    Both(english="The wound comes open.", german="Die Wunde geht auf."),
    Both(english="You cannot pass water.", german="Sie können kein Wasser lassen."),
)
"""When to call at once."""

ASK_FOR_NUMBER = Both(
    english="Ask for the number before you go home.",
    german="Fragen Sie nach der Nummer, bevor Sie nach Hause gehen.",
)

OPERATION = {
    "flap": Both(
        english="We take out the diseased skin. A flap of your own skin and fat fills the gap. It "
        "comes from {side}.",
        german="Wir nehmen die kranke Haut heraus. Ein Lappen aus Haut und Fett füllt die Lücke. "
        "Er kommt von {side}.",
    ),
    "tissue": Both(
        english="We take out the diseased skin. Then we draw skin and fat across the gap. They "
        "come from {side}.",
        german="Wir nehmen die kranke Haut heraus. Dann ziehen wir Haut und Fett über die Lücke. "
        "Sie kommen von {side}.",
    ),
    "flaps": Both(
        english="We take out the diseased skin. Flaps of your own skin and fat fill the gap. They "
        "come from both sides.",
        german="Wir nehmen die kranke Haut heraus. Lappen aus Haut und Fett füllen die Lücke. Sie "
        "kommen von beiden Seiten.",
    ),
    ClosureKind.MIDLINE: Both(
        english="We take out the diseased skin. Then we sew the edges to each other.",
        german="Wir nehmen die kranke Haut heraus. Dann nähen wir die Ränder an einander.",
    ),
    ClosureKind.OPEN: Both(
        english="We take out the diseased skin. The wound stays open and heals from its base.",
        german="Wir nehmen die kranke Haut heraus. Die Wunde bleibt offen und heilt vom Grund her.",
    ),
}
"""What is done, by what moves, or by the kind where nothing does."""

FROM_SIDE = {
    Side.LEFT: Both(english="your left side", german="Ihrer linken Seite"),
    Side.RIGHT: Both(english="your right side", german="Ihrer rechten Seite"),
}

SIDE_IN_PICTURE = {
    Side.LEFT: Both(english="Your left", german="Ihre linke Seite"),
    Side.RIGHT: Both(english="Your right", german="Ihre rechte Seite"),
}

SIDE_IN_HEAD = {
    Side.LEFT: Both(english="from the patient's left", german="von der linken Seite des Patienten"),
    Side.RIGHT: Both(
        english="from the patient's right", german="von der rechten Seite des Patienten"
    ),
}

WORDS = {
    "title": Both(english="Your sheet for home", german="Ihr Blatt für zu Hause"),
    "document": Both(english="Patient's sheet", german="Blatt für den Patienten"),
    "picture": Both(english="Your wound from behind", german="Ihre Wunde von hinten"),
    "picture_words": Both(
        english="This is how it is sewn: the thick lines are the seams. The line of dots and "
        "dashes is the cleft.",
        german="So wird genäht: Die dicken Linien sind die Nähte. Der Strich mit Punkten ist die "
        "Falte.",
    ),
    "differs": Both(
        english="Your scar may look a bit different. Skin gives.",
        german="Ihre Narbe kann etwas anders aussehen. Haut gibt nach.",
    ),
    "changed": Both(
        english="Not all was done as drawn here. Ask us what was changed.",
        german="Nicht alles wurde so gemacht wie hier. Fragen Sie uns, was anders war.",
    ),
    "no_picture": Both(
        english="There is no drawing. Ask us to draw the wound for you.",
        german="Es gibt kein Bild. Lassen Sie sich die Wunde zeichnen.",
    ),
    "call": Both(english="Call at once if", german="Rufen Sie sofort an, wenn"),
    "whom": Both(english="Call:", german="Anrufen:"),
    "nobody": Both(
        english="If no one picks up, go to an emergency department.",
        german="Geht niemand ans Telefon, dann gehen Sie in die Notaufnahme.",
    ),
    "advice": Both(english="Day by day", german="Tag für Tag"),
    "dates": Both(english="Your days", german="Ihre Tage"),
    "operated": Both(
        english="Day 0 is the day of the operation: *{day}*.",
        german="Tag 0 ist der Tag der Operation: *{day}*.",
    ),
    "no_dates": Both(
        english="Your days are not set yet. Ask for this sheet again when you have had the "
        "operation.",
        german="Ihre Tage stehen noch nicht fest. Fragen Sie nach der Operation noch einmal nach "
        "diesem Blatt.",
    ),
    "weekend": Both(english="if closed: {day}", german="wenn zu: {day}"),
    "day": Both(english="day {day}", german="Tag {day}"),
    "custom": Both(
        english="Most of these days are what is often done. They are not proven. If your surgeon "
        "tells you something else, do that.",
        german="Die meisten Tage sind so üblich. Bewiesen sind sie nicht. Sagt Ihre Ärztin "
        "oder Ihr Arzt etwas anderes, dann gilt das.",
    ),
    "code": Both(english="Plan code", german="Plan"),
    "no_code": Both(english="no plan", german="kein Plan"),
    "flap": Both(english="Flap", german="Lappen"),
    "tissue": Both(english="Tissue", german="Gewebe"),
    "flaps": Both(english="Flaps from both sides", german="Lappen von beiden Seiten"),
    "no_flap": Both(english="No flap", german="Kein Lappen"),
    "no_side": Both(english="Side not known here", german="Seite hier nicht bekannt"),
    "head": Both(english="Head", german="Kopf"),
    "tailbone": Both(english="tailbone", german="Steißbein"),
    "page": Both(english="page", german="Seite"),
    "of": Both(english="of", german="von"),
    "caution": Both(
        english=CAUTION,
        german="Software für Forschung und Lehre, kein Medizinprodukt. Ein Plan ist ein "
        "Vorschlag an approbierte Chirurginnen und Chirurgen. Diese entscheiden, folgen den "
        "Regeln vor Ort und trauen Farbstoff und Gewebe mehr als der Zeichnung.",
    ),
}
"""Headings and single sentences."""
