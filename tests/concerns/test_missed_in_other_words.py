"""Signs that were once missed or read too lightly, in five wordings a language that were written unseen: raised or asked about.

Of these 130 lines 90 were at first sight; the others were mended class by class, so that they are held out no more.
"""

from __future__ import annotations

import pytest

from bot.concerns.finding import URGENCIES, Urgency
from tests.replies.said import read

ROWS: dict[str, tuple[Urgency, tuple[str, ...], tuple[str, ...]]] = {
    "under water": (
        "act_now",
        (
            "he dunked his face in the washing up bowl",
            "she went below the surface for a moment in the baby tub",
            "got a mouthful when her head sank in the bathwater",
            "I turned round and he was face first in the paddling pool",
            "water closed over his nose in the bath, coughing now",
        ),
        (
            "se hundió en la bañera cuando me volteé",
            "la cara le quedó bajo el agua en la tina",
            "tragó agua al resbalar en la bañera",
            "se me fue para abajo en la pileta un instante",
            "quedó con la cabeza dentro del agua del balde",
        ),
    ),
    "feeds tire": (
        "same_day",
        (
            "she has to stop and rest all through the bottle",
            "he runs out of puff when nursing",
            "his forehead is wet with sweat each time he drinks",
            "a bottle drags on for ninety minutes",
            "she conks out before half the milk is gone, every feed",
        ),
        (
            "se agota a mitad de la toma",
            "queda empapado de sudor cuando mama",
            "tarda hora y media en terminar el biberón",
            "se duerme de cansancio a los dos minutos de mamar",
            "le falta el aire al comer",
        ),
    ),
    "no weight": (
        "same_day",
        (
            "the scales haven't moved in three weeks",
            "she's dropped off her weight curve",
            "he's lighter than at the last check",
            "still in newborn clothes, not filling out at all",
            "the nurse is worried she's not growing",
        ),
        (
            "no sube de peso desde hace un mes",
            "pesa menos que la otra vez",
            "la balanza marca lo mismo que hace tres semanas",
            "está cada vez más flaquito",
            "la pediatra dice que no está creciendo",
        ),
    ),
    "cast": (
        "same_day",
        (
            "bath water got into the plaster",
            "his splint cast is digging in and the skin is red",
            "the cast has gone soggy",
            "stitches look like they're pulling apart",
            "pus from the operation cut",
        ),
        (
            "se le mojó la férula de yeso",
            "el yeso le queda muy ajustado",
            "se le soltaron los puntos",
            "la herida de la operación se abrió un poco",
            "le sale pus por la cicatriz",
        ),
    ),
    "neck": (
        "same_day",
        (
            "he can't turn his head to the left at all today",
            "neck is rigid and she cries if I tilt it",
            "her head is locked over on one side since this morning",
            "she holds her neck stiff",
            "won't let me move his neck",
        ),
        (
            "tiene el cuello duro",
            "no puede girar la cabeza desde anoche",
            "el cuello se le quedó trabado hacia un lado",
            "tiene el pescuezo tieso",
            "llora si le muevo el cuello",
        ),
    ),
    "unwell": (
        "same_day",
        (
            "she is not well",
            "he isn't himself today",
            "baby is poorly",
            "something's off with him, can't say what",
            "she seems ill",
        ),
        (
            "no está bien la bebé",
            "anda raro hoy, no es él",
            "la nena está enfermita",
            "lo noto mal, no sé qué es",
            "hay algo que no me gusta en la niña",
        ),
    ),
    "click and less": (
        "same_day",
        (
            "shoulder pops and it doesn't rotate out like last week",
            "there's a clunk in the joint and the arm stays turned in now",
            "hear a click and can't open the arm outward as far",
            "her shoulder clicks; less movement to the outside",
            "it snaps at the shoulder and turning it out got harder",
        ),
        (
            "le truena el hombro y ya no gira hacia afuera igual",
            "hace clic y el brazo se le quedó girado para adentro",
            "suena el hombro y abre menos el brazo",
            "el hombro le cruje y rota menos hacia fuera",
            "siento un clic y cuesta más sacar el brazo hacia afuera",
        ),
    ),
    "fall": (
        "act_now",
        (
            "he rolled off the armchair",
            "she tumbled out of the high pram",
            "dropped her from my arms onto the tiles",
            "he came off the worktop",
            "she slid off the kitchen counter in her seat",
        ),
        (
            "se me resbaló de los brazos al suelo",
            "se cayó de la mesa de cambio",
            "rodó del sillón al piso",
            "se cayó del cochecito",
            "se me cayó de las manos",
        ),
    ),
    "blood": (
        "same_day",
        (
            "red streaks in her poo",
            "his spit up is pink with blood",
            "there was blood when I wiped her",
            "bleeding from the belly button",
            "specks of blood in the vomit",
        ),
        (
            "hizo caca con hilitos de sangre",
            "devolvió con sangre",
            "le sangra el ombligo",
            "hay manchas rojas en el pañal",
            "salió sangre de la nariz",
        ),
    ),
    "dehydration": (
        "same_day",
        (
            "mouth is like sandpaper and no tears",
            "her soft spot looks sunken",
            "hardly any pee since dawn",
            "only one wet nappy in twelve hours",
            "sunken eyes and dry lips",
        ),
        (
            "tiene la mollera hundida",
            "llora sin lágrimas y la boca seca",
            "un solo pañal mojado en todo el día",
            "casi no ha hecho pis",
            "tiene los ojos hundidos",
        ),
    ),
    "jaundice": (
        "same_day",
        (
            "his skin has a yellow tinge",
            "the whites of her eyes are yellow",
            "she's turning more yellow by the day",
            "looks jaundiced",
            "his tummy and legs are yellow now",
        ),
        (
            "está amarillito",
            "el blanco de los ojos está amarillo",
            "cada día más amarilla",
            "tiene la piel color mostaza",
            "creo que tiene ictericia",
        ),
    ),
    "fit in time": (
        "act_now",
        (
            "jerk, pause, jerk, pause, over and over on one side",
            "his arm and leg were beating together like a drum",
            "legs twitch in a rhythm and holding doesn't stop it",
            "she keeps folding forward in little bursts one after another",
            "eyes flick to one side and the hand pumps again and again",
        ),
        (
            "se sacude al compás y no para",
            "le brinca el brazo una y otra vez",
            "le dan sacudidas seguiditas de un lado",
            "mueve brazo y pierna como un tambor y no responde",
            "se dobla hacia adelante en ráfagas, una tras otra",
        ),
    ),
    "face down": (
        "act_now",
        (
            "found her with her nose pressed in the mattress",
            "he was face down under the blanket when I looked in",
            "woke up and she was on her belly, face in the pillow",
            "the sheet was over his face",
            "she'd slid down under the duvet",
        ),
        (
            "la encontré con la cara hundida en el colchón",
            "estaba boca abajo tapado por la cobija",
            "amaneció con la cara contra la almohada",
            "tenía la sábana sobre la cara",
            "la hallé de cara contra el cojín",
        ),
    ),
}

CASES = [
    (row, urgency, text, language)
    for row, (urgency, en, es) in ROWS.items()
    for language, texts in (("en", en), ("es", es))
    for text in texts
]


@pytest.mark.parametrize(("row", "urgency", "text", "language"), CASES)
def test_it_is_raised_or_asked_about(row: str, urgency: Urgency, text: str, language: str) -> None:
    reading = read(text, language=language)
    found = [each.urgency for each in (reading.concern, reading.unclear) if each is not None]
    caught = any(URGENCIES.index(each) <= URGENCIES.index(urgency) for each in found)
    assert caught, row
