"""The few words of the board itself, in the languages of the phrase banks that are shipped.

Each tells no time by itself: what it tells is put in its place. A bank in another language has
its labels in English.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from showtime.wording import Kind


@dataclass(frozen=True, slots=True)
class Labels:
    """`{}` stands for minutes, a time or a name."""

    own_name: str
    next: str
    changed: str
    on_day: str
    minutes: str
    hours: str
    moment: str
    playing: str
    until: str
    quiet: str
    later: str
    patience: str
    none_left: str
    called_off: str
    unset: str
    lost: str
    phone: str
    calendar: str
    alarm: str
    light: str

    def heading(self, kind: Kind) -> str:
        """What stands over the time, or in its place when none is told."""
        return {
            Kind.CHANGED: self.changed,
            Kind.LATE: self.patience,
            Kind.NONE_LEFT: self.none_left,
            Kind.CALLED_OFF: self.called_off,
            Kind.CLOCK_UNSET: self.unset,
        }.get(kind, self.next)


_TABLE: Mapping[str, Labels] = {
    "en": Labels(
        "English", "The next performance", "New time", "on {}", "in {} min", "in {} h {} min",
        "any moment now", "Playing now: {}", "until {}", "Quiet now: {}",
        "Planned after that, and may change", "A little patience, please: no time yet",
        "That was the last one today", "No more performances today",
        "The clock has lost the time; please ask at the stall",
        "Connection lost. This may be out of date: last heard at {}", "On your own phone",
        "The day for your calendar", "Remind me of the next one", "Light or dark",
    ),
    "de": Labels(
        "Deutsch", "Die nächste Vorstellung", "Neue Zeit", "am {}", "in {} Min.",
        "in {} Std. {} Min.", "jeden Augenblick", "Jetzt läuft: {}", "bis {}", "Jetzt ist Ruhe: {}",
        "Danach geplant, noch nicht fest", "Bitte etwas Geduld: noch keine Zeit",
        "Das war die letzte für heute", "Heute keine Vorstellung mehr",
        "Die Uhr hat die Zeit verloren; bitte am Stand fragen",
        "Verbindung verloren. Vielleicht veraltet: zuletzt gehört um {}",
        "Auf dem eigenen Telefon", "Der Tag für den Kalender", "An die nächste erinnern",
        "Hell oder dunkel",
    ),
    "nl": Labels(
        "Nederlands", "De volgende voorstelling", "Nieuwe tijd", "op {}", "over {} min",
        "over {} u {} min", "elk ogenblik", "Nu bezig: {}", "tot {}", "Nu stil: {}",
        "Daarna gepland, kan nog veranderen", "Even geduld: nog geen tijd",
        "Dat was de laatste van vandaag", "Vandaag geen voorstellingen meer",
        "De klok is de tijd kwijt; vraag het bij de kraam",
        "Verbinding verbroken. Misschien verouderd: laatst gehoord om {}",
        "Op je eigen telefoon", "De dag voor je agenda", "Herinner me aan de volgende",
        "Licht of donker",
    ),
    "fr": Labels(
        "Français", "La prochaine représentation", "Nouvel horaire", "{}", "dans {} min",
        "dans {} h {} min", "d’un instant à l’autre", "En ce moment : {}", "jusqu’à {}",
        "Silence en ce moment : {}", "Prévu ensuite, peut encore changer",
        "Un peu de patience : pas encore d’heure", "C’était la dernière aujourd’hui",
        "Plus de représentation aujourd’hui",
        "L’horloge a perdu l’heure ; demandez au stand",
        "Connexion perdue. Peut-être dépassé : dernières nouvelles à {}",
        "Sur votre téléphone", "La journée pour votre agenda", "Me rappeler la prochaine",
        "Clair ou sombre",
    ),
    "es": Labels(
        "Español", "La próxima función", "Nueva hora", "el {}", "en {} min", "en {} h {} min",
        "en cualquier momento", "Ahora: {}", "hasta las {}", "Silencio ahora: {}",
        "Previsto después, puede cambiar", "Un poco de paciencia: aún sin hora",
        "Fue la última de hoy", "Hoy no hay más funciones",
        "El reloj ha perdido la hora; pregunte en el puesto",
        "Sin conexión. Quizá no esté al día: últimas noticias a las {}",
        "En su teléfono", "El día para su calendario", "Recordarme la próxima",
        "Claro u oscuro",
    ),
    "it": Labels(
        "Italiano", "Il prossimo spettacolo", "Nuovo orario", "{}", "fra {} min",
        "fra {} h {} min", "da un momento all’altro", "In corso: {}", "fino alle {}",
        "Ora silenzio: {}", "Previsto dopo, può cambiare",
        "Un po’ di pazienza: ancora nessun orario", "Era l’ultimo di oggi",
        "Oggi niente più spettacoli", "L’orologio ha perso l’ora; chiedete al banco",
        "Connessione persa. Forse non aggiornato: ultime notizie alle {}",
        "Sul vostro telefono", "La giornata per il calendario", "Ricordami il prossimo",
        "Chiaro o scuro",
    ),
    "cy": Labels(
        "Cymraeg", "Y perfformiad nesaf", "Amser newydd", "{}", "ymhen {} mun",
        "ymhen {} awr {} mun", "unrhyw funud nawr", "Yn chwarae nawr: {}", "tan {}",
        "Tawel nawr: {}", "Wedi’i gynllunio wedyn, a gall newid",
        "Amynedd, os gwelwch yn dda: dim amser eto", "Dyna’r un olaf heddiw",
        "Dim rhagor o berfformiadau heddiw",
        "Mae’r cloc wedi colli’r amser; holwch wrth y stondin",
        "Cysylltiad wedi’i golli. Gall fod yn hen: clywyd ddiwethaf am {}",
        "Ar eich ffôn eich hun", "Y diwrnod i’ch calendr", "Atgoffwch fi o’r nesaf",
        "Golau neu dywyll",
    ),
}  # fmt: skip


def labels(language: str) -> Labels:
    """The labels of a language; the English ones where there are none of its own."""
    return _TABLE.get(language, _TABLE["en"])


def labelled(language: str) -> str:
    """The language that its labels are in, for those who read them out."""
    return language if language in _TABLE else "en"
