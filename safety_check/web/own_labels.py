"""The labels and the words of what the user says once: paddler, contact, craft, limits."""

from __future__ import annotations

NOT_SAID = ""
YES_NO = {"yes": "yes", "no": "no"}
PADDLER = {
    "life_jacket": "Life jacket",
    "wearing": "Clothing for cold water",
    "company": "Company",
    "light": "White light on board",
    "sound_signal": "Whistle or horn",
    "means_to_call": "Phone or VHF radio that works afloat",
    "self_rescue": "Practised getting back in",
    "within_capacity": "People and gear within the maker's capacity",
}
CHOICES = {
    "life_jacket": {
        "worn": "worn and fastened",
        "carried": "carried, not worn",
        "none": "none",
    },
    "wearing": {"none": "no immersion clothing", "wetsuit": "wetsuit", "drysuit": "drysuit"},
    "company": {"alone": "alone", "group": "in a group"},
}
CONTACT = {
    "name": "Your name",
    "phone": "Your telephone number",
    "emergency_name": "Shore contact: name",
    "emergency_phone": "Shore contact: telephone number",
    "vehicle": "Vehicle at the launch",
    "colours": "Colours of craft and clothing",
    "email": "Your email address",
}
CRAFT = {
    "kind": "Class",
    "name": "Your name for it",
    "cruise_speed": "Speed that you can hold for hours in calm",
    "length": "Length",
    "beam": "Beam",
    "troll": "Trolling speed",
    "default": "Use it when a check names no craft",
}
LIMIT = {
    "marginal": "Caution from",
    "no_go": "No-go from",
    "loosen": "Allow a limit that is looser than the default; every report will say so",
}


def words_for(name: str) -> dict[str, str]:
    """Return what can be declared for a key of [paddler], each with its words."""
    return CHOICES.get(name, YES_NO)
