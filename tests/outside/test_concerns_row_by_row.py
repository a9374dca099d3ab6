"""Every row of published lists of signs, told as a carer would, in both languages: raised or asked about, at least as gravely.

The lists, each looked up 2026-11-29 in stored copies of the pages named:
 NICE NG143 (2021), Fever in under 5s, traffic light table, red and amber columns (nasgp.org.uk);
 NHS, "Is your baby or toddler seriously ill?" (healthhelpnow.nhs.uk, nct.org.uk);
 CDC, HEADS UP, concussion danger signs, with those of infants (cdc.gov/headsup);
 AAP, HealthyChildren, Fever: when to call the pediatrician (a copy of the page; its address is not kept).
A row's words are those of the list, shortened; the carers' words are ours. The tier: what a list sends to an ambulance or an emergency
department is act_now, what it sends to a doctor is same_day. `LEFT_OUT` holds the rows for which no sign stands, each with why.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import pytest

from bot.concerns.finding import URGENCIES
from tests.replies.said import read


@dataclass(frozen=True, slots=True)
class Row:
    listed: str
    en: str
    es: str
    tier: Literal["act_now", "same_day"] = "act_now"


NICE_RED = (
    Row("pale, mottled, ashen or blue", "his lips and tongue look bluish", "tiene la piel jaspeada y gris"),
    Row("no response to social cues", "she looks right through us and does not react", "no reacciona cuando le hablamos"),
    Row("appears ill", "she looks really ill", "se ve muy mal", "same_day"),
    Row("does not wake, or does not stay awake", "he drops off again the second I rouse him and I can't keep him awake", "no logro que despierte"),
    Row("weak, high-pitched or continuous cry", "her cry has gone weak and high pitched", "tiene un llanto agudo y débil", "same_day"),
    Row("grunting", "he grunts each time he breathes out", "hace un quejido cada vez que respira"),
    Row("fast breathing, over 60 a minute", "I counted 70 breaths a minute", "respira rapidísimo, conté 70 por minuto"),
    Row("chest indrawing", "her chest caves in as she breathes", "se le hunde el pecho al respirar"),
    Row("reduced skin turgor", "his skin stays up when I pinch it and his eyes are sunken", "tiene los ojos hundidos y la piel reseca", "same_day"),
    Row("under 3 months with 38 °C", "her temperature is 38.1", "tiene 38.1 de temperatura", "same_day"),
    Row("non-blanching rash", "red dots that do not vanish under a glass", "tiene puntitos que no se borran al apretar"),
    Row("bulging fontanelle", "the soft spot on her head bulges", "tiene la mollera abultada"),
    Row("neck stiffness", "his neck is stiff", "tiene el cuello rígido", "same_day"),
    Row("status epilepticus", "she has been fitting for ten minutes", "lleva diez minutos convulsionando"),
    Row("focal signs", "one side of his face droops all of a sudden", "de repente se le cayó un lado de la cara"),
    Row("focal seizures", "only her left leg keeps jerking and will not stop", "se le sacude una pierna y no para"),
)  # fmt: skip
NICE_AMBER = (
    Row("pallor told by a parent", "he looks terribly pale", "se ve muy pálido", "same_day"),
    Row("does not respond as usual", "she is not responding like she normally does", "no responde como siempre", "same_day"),
    Row("wakes only with long stimulation", "it took ages to wake him", "cuesta mucho despertarlo", "same_day"),
    Row("decreased activity", "she hardly moves and is listless", "casi no se mueve, está decaída", "same_day"),
    Row("nasal flaring", "his nostrils flare when he breathes", "abre mucho las narices al respirar", "same_day"),
    Row("fast breathing", "she is panting at rest", "respira muy rápido estando quieta", "same_day"),
    Row("dry mouth", "his mouth and lips are all dry", "tiene la boca muy seca", "same_day"),
    Row("poor feeding", "she is feeding badly", "está comiendo muy mal", "same_day"),
    Row("reduced urine", "far fewer wet nappies than usual", "moja menos pañales que siempre", "same_day"),
    Row("3 to 6 months with 39 °C", "he has 39.2", "tiene 39.2", "same_day"),
    Row("fever for five days", "she has had a fever for five days", "lleva cinco días con fiebre", "same_day"),
    Row("rigors", "he is shivering hard and hot", "está tiritando y caliente", "same_day"),
    Row("swelling of a limb or joint", "his knee is swollen", "tiene hinchada la rodilla", "same_day"),
    Row("not using a limb", "she has stopped using that arm", "dejó de mover el bracito", "same_day"),
)  # fmt: skip
NHS = (
    Row("high-pitched, weak or continuous cry", "he has cried without a break for four hours", "llora sin parar desde hace horas", "same_day"),
    Row("less responsive, more floppy", "she hangs in my arms like a rag", "está aguado como trapo"),
    Row("no drink for over eight hours", "he has drunk nothing for nine hours", "no ha tomado nada en nueve horas", "same_day"),
    Row("hot with cold hands and feet", "she burns but her hands and feet are icy", "tiene fiebre y las manos heladas", "same_day"),
    Row("first fit", "he had a fit, his first", "tuvo una convulsión"),
    Row("struggling for breath", "she is fighting to get air", "no puede respirar bien"),
    Row("stopped breathing", "he stopped breathing for a bit", "dejó de respirar un momento"),
    Row("drowsy, does not know you", "she is so drowsy she does not know me", "está muy adormilada y no me reconoce"),
    Row("spotty purple rash", "purple spots are coming up all over", "le salieron manchas moradas"),
    Row("green vomit", "what he vomits is green", "vomita verde"),
    Row("repeated vomiting", "she has vomited five times today", "ha vomitado cinco veces hoy", "same_day"),
    Row("severe allergic reaction", "his face and tongue are swelling up after the egg", "se le hincha la cara y la lengua después del huevo"),
    Row("seriously injured", "she fell down the stairs and her head is bleeding", "se cayó por la escalera y le sangra la cabeza"),
    Row("a low temperature", "his temperature is 34.8", "tiene 34.8 de temperatura", "same_day"),
    Row("trust your instincts", "something is wrong with her, I just know it", "algo le pasa, no está bien", "same_day"),
)  # fmt: skip
CDC_HEAD = (
    Row("one pupil larger", "after the bump one pupil is bigger than the other", "se golpeó y tiene una pupila más grande"),
    Row("drowsy, cannot be woken", "he hit his head and I can't wake him", "se pegó en la cabeza y no despierta"),
    Row("weakness, less coordination", "since she banged her head one side seems weak", "se golpeó la cabeza y un lado quedó débil", "same_day"),
    Row("repeated vomiting", "fell off the bed and has thrown up three times since", "se cayó y ya vomitó tres veces"),
    Row("convulsion", "bumped his head and then he shook all over", "se pegó en la cabeza y convulsionó"),
    Row("unusual behaviour", "she banged her head and is acting strange", "se golpeó la cabeza y anda rara", "same_day"),
    Row("loss of consciousness", "he was knocked out for a few seconds after the fall", "se cayó y perdió el conocimiento"),
    Row("will not stop crying", "fell off the sofa and nothing stops her crying", "se cayó del sillón y no deja de llorar", "same_day"),
    Row("will not nurse or eat", "since she hit her head she refuses the breast", "se pegó en la cabeza y no quiere comer", "same_day"),
)  # fmt: skip
AAP_FEVER = (
    Row("looks very ill, drowsy or fussy", "hot, very drowsy and cranky", "caliente, muy dormida e irritable", "same_day"),
    Row("was in a very hot place", "he was left in the hot car", "se quedó en el carro con el calor"),
    Row("unexplained rash", "a rash came up and nobody knows why", "le salió un sarpullido", "same_day"),
    Row("repeated diarrhoea", "watery poo eight times today", "diarrea muchas veces hoy", "same_day"),
    Row("has had a seizure", "she had a seizure with the fever", "convulsionó con la fiebre"),
    Row("over 40 °C", "it says 40.3", "marca 40.3", "same_day"),
    Row("still acts sick", "the fever is gone but he still acts ill", "ya no tiene fiebre pero sigue malito", "same_day"),
    Row("dry mouth, sunken soft spot", "her soft spot has sunk in", "tiene hundida la mollera", "same_day"),
)  # fmt: skip
LISTS = {
    "NICE red": NICE_RED,
    "NICE amber": NICE_AMBER,
    "NHS": NHS,
    "CDC head": CDC_HEAD,
    "AAP fever": AAP_FEVER,
}

LEFT_OUT = {
    "NICE amber: oxygen saturation, crackles, capillary refill, heart rate": "found by a clinician's hands or tools, not told by carers",
    "NICE amber: no smile": "common in the first weeks, and told in calm messages as often",
    "CDC head: a headache that gets worse, slurred speech": "not told of a baby by a baby's carer",
    "AAP fever: severe headache, sore throat, ear pain": "not told of a baby by a baby's carer; an ear that is pulled at is no sign here",
    "AAP fever: immune trouble, steroids": "a fact of the record, known to the family's doctor",
    "AAP fever: fever for over 24 hours": "any fever is raised from its first figure on",
}


def gravest(text: str, language: str) -> str | None:
    reading = read(text, prompt="", language=language)
    found = [each for each in (reading.concern, reading.unclear) if each is not None]
    return min((each.urgency for each in found), key=URGENCIES.index, default=None)


CASES = [(name, row.listed, row.tier, text, language) for name, rows in LISTS.items() for row in rows for text, language in ((row.en, "en"), (row.es, "es"))]  # fmt: skip


@pytest.mark.parametrize(("name", "listed", "tier", "text", "language"), CASES)
def test_a_listed_sign_is_raised_or_asked_about(
    name: str, listed: str, tier: str, text: str, language: str
) -> None:
    found = gravest(text, language)
    assert found is not None, (name, listed)
    assert URGENCIES.index(found) <= URGENCIES.index(tier), (name, listed)


def test_each_row_that_is_left_out_says_why() -> None:
    assert all(name.partition(":")[0] in LISTS and why for name, why in LEFT_OUT.items())
