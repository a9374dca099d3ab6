"""A third sixty of messages, written unseen for the same classes: at their first sight 48 of 66 were answered as their class must be."""

from __future__ import annotations

from tests.features.concerns.sixty import Table

THIRD: Table = {
    ("carer", "en"): (
        "I sat on the bathroom floor with pills in my hand again last night",
        "part of me wishes he'd never wake up and then I hate myself",
        "grabbed her harder than I meant to when she wouldn't latch, I feel sick about it",
        "everyone keeps saying enjoy it and I just feel dead inside",
        "I had a flash of throwing the carrier off the balcony, is that normal",
        "if someone took him away tomorrow I would be relieved, I'm done",
    ),
    ("carer", "es"): (
        "me encerré en el baño porque si no le hago algo",
        "para qué sigo aquí si todo me sale mal, mejor desaparecer",
        "la apreté muy fuerte del coraje y ahora no paro de temblar",
        "hace semanas que no duermo y ya ni me importa si come",
    ),
    ("at_home", "en"): (
        "husband threw the remote and it hit the crib, he was drunk",
        "my sister's boyfriend watches her and she comes back with red welts",
        "he controls all the money and won't pay for the splint or the bus to clinic",
        "grandad shakes him to make him stop fussing, says that's how they did it",
        "we got evicted, tonight is the shelter or the bus station",
        "I pop out to my shift while she naps, the neighbour has a key",
        "payday is friday and I've been stretching the bottles with extra water",
        "his dad flicks his weak hand to make him use it",
    ),
    ("at_home", "es"): (
        "mi pareja me jaló del pelo delante del niño",
        "la muchacha que lo cuida lo zarandea cuando llora",
        "no me deja salir ni hablar con mi familia",
        "solo hay agua de avena para darle hasta que cobre",
        "la bebé se queda con el mayor de nueve mientras voy a la fábrica",
    ),
    ("arm", "en"): (
        "something cracked when I slid the onesie off and he went quiet with that arm",
        "can't even wash under that armpit, she shrieks",
        "fingers have gone dusky and the hand's freezing",
        "forearm is fat and shiny today",
        "his wrist went floppy yesterday, he could lift it before",
        "his big sister dragged him along the rug by that arm",
        "she won't bear any touch to the elbow since the car ride",
    ),
    ("arm", "es"): (
        "al sacarle la camiseta sonó como una rama y se puso a gritar",
        "tiene la muñeca como una pelota",
        "la manita se le pone blanca y helada",
        "ayer doblaba el codo y hoy le cuelga como trapo",
    ),
    ("sleep", "en"): (
        "he'll only settle face down so I let him have his nap like that",
        "found him asleep on his front in the cot this morning, left him",
        "grandma puts her down in the bouncer for the night",
        "is side sleeping alright if I wedge her with a towel?",
        "I keep a little cushion under his arm in the crib overnight",
    ),
    ("sleep", "es"): (
        "lo dejo durmiendo en la sillita del coche porque ahí no llora",
        "¿y si duerme de panza con el brazo estirado?",
        "nos dormimos los dos en el sofá con él encima",
    ),
    ("feeding", "en"): (
        "she gives up after 5 minutes at the breast every time, out of breath",
        "only one damp diaper since breakfast yesterday",
        "nothing stays in him, everything shoots across the room",
        "clinic scale says the same as a month ago",
        "the spit up has streaks of red in it",
    ),
    ("feeding", "es"): (
        "tarda más de una hora con cada mamadera y se agota",
        "no orina desde el mediodía y llora sin lágrimas",
        "lo que devuelve es color verde pasto",
    ),
    ("danger", "en"): (
        "he's breathing so fast his nostrils flare and his tummy pumps",
        "she just stares through me and won't rouse",
        "both arms were jerking in rhythm and he drooled, it's stopped now",
        "the top of her head looks swollen and she's burning up",
        "purple specks on his legs that stay when I press the glass on them",
        "he slid under in the tub while I reached for the towel",
    ),
    ("danger", "es"): (
        "respira como con un quejido y se le marcan las costillas",
        "se quedó tieso con los ojos en blanco un ratito",
        "se puso lila alrededor de la boca mientras comía",
        "está flojito como muñeco de trapo y no abre los ojos",
    ),
    ("calm", "en"): (
        "did the carry on my forearm all around the garden, he was chuffed",
        "we'll be camping in Wales from Friday, no mat there",
        "nan did fifteen on the play gym with her",
        "can I skip the bath one tonight",
    ),
    ("calm", "es"): (
        "mañana nos vamos en bus a Rosario, volvemos el lunes",
        "la tía le hizo quince minutos de pancita",
    ),
}
