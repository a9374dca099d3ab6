"""The movements that the clinic's scales grade: their names in both languages, and how a therapist writes them.

Terms of the trade, for therapists alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from bot.digest.clinic import ACTIVE_MOVEMENTS
from bot.text import fold


@dataclass(frozen=True, slots=True)
class MovementName:
    en: str
    es: str


NAMES: dict[str, MovementName] = {
    "shoulder_abduction": MovementName("shoulder abduction", "abducción de hombro"),
    "shoulder_adduction": MovementName("shoulder adduction", "aducción de hombro"),
    "shoulder_flexion": MovementName("shoulder flexion", "flexión de hombro"),
    "shoulder_external_rotation": MovementName("shoulder external rotation", "rotación externa de hombro"),
    "shoulder_internal_rotation": MovementName("shoulder internal rotation", "rotación interna de hombro"),
    "elbow_flexion": MovementName("elbow flexion", "flexión de codo"),
    "elbow_extension": MovementName("elbow extension", "extensión de codo"),
    "forearm_supination": MovementName("forearm supination", "supinación de antebrazo"),
    "forearm_pronation": MovementName("forearm pronation", "pronación de antebrazo"),
    "wrist_flexion": MovementName("wrist flexion", "flexión de muñeca"),
    "wrist_extension": MovementName("wrist extension", "extensión de muñeca"),
    "finger_flexion": MovementName("finger flexion", "flexión de dedos"),
    "finger_extension": MovementName("finger extension", "extensión de dedos"),
    "thumb_flexion": MovementName("thumb flexion", "flexión de pulgar"),
    "thumb_extension": MovementName("thumb extension", "extensión de pulgar"),
}

JOINTS = {
    "shoulder": "shoulder", "hombro": "shoulder", "elbow": "elbow", "codo": "elbow", "forearm": "forearm",
    "antebrazo": "forearm", "wrist": "wrist", "muneca": "wrist", "finger": "finger", "fingers": "finger",
    "dedo": "finger", "dedos": "finger", "thumb": "thumb", "pulgar": "thumb",
}  # fmt: skip
MOTIONS = {
    "abduction": "abduction", "abd": "abduction", "abduccion": "abduction", "adduction": "adduction",
    "add": "adduction", "aduccion": "adduction", "flexion": "flexion", "flex": "flexion",
    "extension": "extension", "ext": "extension", "supination": "supination", "sup": "supination",
    "supinacion": "supination", "pronation": "pronation", "pron": "pronation", "pronacion": "pronation",
    "er": "external_rotation", "ir": "internal_rotation",
}  # fmt: skip
TURNS = {
    "external": "external_rotation", "ext": "external_rotation", "externa": "external_rotation",
    "internal": "internal_rotation", "int": "internal_rotation", "interna": "internal_rotation",
}  # fmt: skip
ROTATION = {"rotation", "rot", "rotacion"}
FILLER = {"de", "del", "of", "the", "la", "el"}


def movement_name(movement: str, language: str) -> str:
    """Return a movement's name; of an unknown id, the id in words."""
    known = NAMES.get(movement)
    if known is None:
        return movement.replace("_", " ")
    return known.es if language == "es" else known.en


def movement_from(text: str) -> str | None:
    """Return the movement that words name ("elbow flexion", "flex. codo", "shoulder ext rot"), None where they name
    none or leave it open."""
    tokens = [t for t in re.findall(r"[a-z]+", fold(text)) if t not in FILLER]
    joints = {JOINTS[t] for t in tokens if t in JOINTS}
    if ROTATION & set(tokens):
        motions = {TURNS[t] for t in tokens if t in TURNS}
        known = JOINTS.keys() | TURNS.keys() | ROTATION
    else:
        motions = {MOTIONS[t] for t in tokens if t in MOTIONS}
        known = JOINTS.keys() | MOTIONS.keys()
    if len(motions) != 1 or any(t not in known for t in tokens):
        return None
    motion = motions.pop()
    # Only the forearm turns over; only the shoulder rotates.
    implied = {"supination": "forearm", "pronation": "forearm", "external_rotation": "shoulder", "internal_rotation": "shoulder"}  # fmt: skip
    joint = joints.pop() if len(joints) == 1 else implied.get(motion) if not joints else None
    movement = f"{joint}_{motion}"
    return movement if movement in ACTIVE_MOVEMENTS else None
