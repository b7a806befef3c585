"""Kinds of sheets that an owner has: their fields, and the headings that people give to them.

Words are lower case, without accents; English first, then Spanish, French and German.  They are
usual words of yards (from memory; common practice).
"""

from dataclasses import dataclass
from enum import StrEnum


class SheetKind(StrEnum):
    """What the rows of a sheet are; the order is that in which sheets are brought in."""

    MAKE_UPS = "make_ups"
    MACHINES = "machines"
    PEOPLE = "people"
    PARTS = "parts"
    INTERVALS = "intervals"
    SERVICES = "services"
    BOOKINGS = "bookings"
    READINGS = "readings"


LABELS = {
    SheetKind.MAKE_UPS: "Make-ups",
    SheetKind.MACHINES: "Machines",
    SheetKind.PEOPLE: "People",
    SheetKind.PARTS: "Parts and stock",
    SheetKind.INTERVALS: "Intervals",
    SheetKind.SERVICES: "Past services",
    SheetKind.BOOKINGS: "Bookings",
    SheetKind.READINGS: "Readings",
}
"""Kinds as pages name them."""


@dataclass(frozen=True)
class FieldWords:
    """One field of a kind: its label, and the headings by which it is known."""

    label: str
    words: tuple[str, ...]


def _field(label: str, words: str) -> FieldWords:
    return FieldWords(label, tuple(word.strip() for word in words.split("|")))


TAG = _field(
    "machine (tag)",
    "tag|machine|fleet tag|machine tag|unit|unit no|unit number|fleet no|fleet number|equipment"
    "|equipment id|equipment no|asset|asset id|asset no|id|machine no|machine id|machine number"
    "|maquina|equipo|unidad|no de unidad|numero de unidad|etiqueta|numero economico"
    "|machine n|engin|materiel|no de parc|numero de parc|repere"
    "|maschine|gerat|geraet|gerate nr|gerat nr|maschinen nr|maschinennummer|inventarnummer|kennung",
)
SERVICE = _field(
    "service",
    "service|service name|service done|services|work|work done|job|task|maintenance|what was done"
    "|service type|type of service|maintenance type|description of work|done"
    "|servicio|mantenimiento|trabajo|tipo de servicio|tarea"
    "|entretien|travail|type d entretien|operation|intervention"
    "|wartung|arbeit|wartungsart|dienst|tatigkeit",
)
MAKEUP = _field(
    "make-up (maker and model)",
    "make up|makeup|make and model|make model|maker and model|make & model|type|machine type"
    "|equipment type|kind|marca y modelo|tipo|tipo de maquina|marque et modele|type de machine"
    "|typ|maschinentyp|hersteller und modell",
)
MAKER = _field(
    "maker", "maker|make|manufacturer|brand|marca|fabricante|marque|fabricant|constructeur"
    "|hersteller|marke|fabrikat",
)  # fmt: skip
MODEL = _field("model", "model|model no|model number|modelo|modele|modell")
CLASS = _field(
    "class", "class|machine class|category|rental class|group|clase|categoria|classe|categorie"
    "|klasse|kategorie|gruppe",
)  # fmt: skip
YEAR = _field(
    "model year", "year|model year|yr|year made|year of manufacture|ano|ano modelo|annee"
    "|annee modele|baujahr|jahr|modelljahr",
)  # fmt: skip
NOTES = _field(
    "notes", "notes|note|remarks|remark|comment|comments|observations|notas|observaciones"
    "|comentarios|remarques|commentaire|bemerkung|bemerkungen|notiz|notizen",
)  # fmt: skip
HOURS = (
    "hours|hour meter|hourmeter|engine hours|meter hours|hrs|h|hour|horas|horometro|heures"
    "|compteur horaire|horametre|stunden|betriebsstunden|std|bh"
)
ODOMETER = (
    "odometer|odo|distance|miles|mileage|mi|km|kms|kilometres|kilometers|odometro|millas"
    "|kilometraje|kilometrage|compteur kilometrique|kilometerstand|km stand|tacho"
)
CYCLES = "cycles|cycle counter|cycle count|ciclos|zyklen"
MINUTES = _field(
    "minutes", "minutes|mins|min|time taken|labour minutes|labor minutes|duration|labour|labor"
    "|work time|minutos|duracion|duree|dauer|minuten|arbeitszeit",
)  # fmt: skip
COST = _field(
    "cost", "cost|price|unit cost|unit price|amount|costo|coste|precio|cout|prix|kosten|preis",
)  # fmt: skip
SHOP = _field("shop", "shop|workshop|taller|atelier|werkstatt")
NAME = "name|nombre|nom|bezeichnung"
AT_START = (
    "start {0}|starting {0}|{0} at start|initial {0}|first {0}|{0} when new|{0} when bought"
    "|{0} at purchase|{0} when started|opening {0}|{0} start|{0} new|in service {0}"
)


def _at_start(words: str, more: str) -> str:
    """Return each word as "at the start" says it; the words alone stand for the start too."""
    plain = [word for word in words.split("|") if len(word) > 1]
    return "|".join([*(AT_START.format(word) for word in plain), more])


def _now(words: str) -> str:
    plain = [word for word in words.split("|") if len(word) > 1]
    said = "current {0}|{0} now|present {0}|latest {0}|last {0}|{0} today|actual {0}|{0} actuales"
    return "|".join(said.format(word) for word in plain)


FIELDS: dict[SheetKind, dict[str, FieldWords]] = {
    SheetKind.MAKE_UPS: {
        "maker": MAKER,
        "model": MODEL,
        "makeup": MAKEUP,
        "class": CLASS,
        "first_year": _field("first model year", "first year|from year|year from|year|desde|de"
                             "|first model year|ano inicial|premiere annee|baujahr von|ab baujahr"),
        "last_year": _field("last model year", "last year|to year|year to|until year|hasta"
                            "|last model year|ano final|derniere annee|baujahr bis|bis baujahr"),
        "meters": _field("meters", "meters|meter|meter types|meter type|meter kind|medidores"
                         "|medidor|compteurs|compteur|zahler"),
        "manual": _field("manual", "manual|service manual|operators manual|handbook|manuel"
                         "|handbuch|betriebsanleitung"),
        "day_rate": _field("day rate of the class", "day rate|daily rate|rate|rate per day"
                           "|tarifa diaria|tarif jour|tagessatz|tagespreis"),
    },
    SheetKind.MACHINES: {
        "tag": TAG,
        "serial": _field("serial number", "serial|serial no|serial number|s n|sn|vin|pin|vin pin"
                         "|frame no|chassis|chassis no|numero de serie|n serie|serie|no de serie"
                         "|seriennummer|serien nr|fahrgestellnummer|fin|fahrgestell nr"),
        "plate": _field("plate", "plate|license plate|licence plate|registration|reg|reg no"
                        "|number plate|license|placa|matricula|placas|immatriculation|plaque"
                        "|kennzeichen|nummernschild"),
        "makeup": MAKEUP,
        "maker": MAKER,
        "model": MODEL,
        "class": CLASS,
        "year": YEAR,
        "yard": _field("yard", "yard|home yard|location|site|branch|depot|home|base|where|patio"
                       "|ubicacion|sucursal|sede|lugar|parc|depot|lieu|agence|hof|standort"
                       "|platz|niederlassung|ort"),
        "shop": SHOP,
        "started_on": _field("first day of work", "start|started|start date|started on|in service"
                             "|in service date|in service since|in service from|purchase date"
                             "|bought|bought on|purchased|since|date in service|put in service"
                             "|commissioned|first day|date bought|fecha de inicio|fecha inicio"
                             "|en servicio desde|fecha de compra|mise en service|date d achat"
                             "|date mise en service|inbetriebnahme|in betrieb seit|kaufdatum"
                             "|seit|first day of work|startdatum"),
        "hours_start": _field("hours at the start", _at_start(HOURS, "meter at start|start meter"
                              "|meter start|start reading|reading at start|first reading|horas"
                              " iniciales|heures initiales|stunden bei kauf|anfangsstunden")),
        "odometer_start": _field("odometer at the start",
                                 _at_start(ODOMETER, "km iniciales|km au depart|anfangs km")),
        "cycles_start": _field("cycles at the start", _at_start(CYCLES, "cycle start")),
        "hours": _field("hours", HOURS + "|meter|meter reading|reading"),
        "odometer": _field("odometer", ODOMETER),
        "cycles": _field("cycles", CYCLES),
        "hours_now": _field("hours now", _now(HOURS)),
        "odometer_now": _field("odometer now", _now(ODOMETER)),
        "cycles_now": _field("cycles now", _now(CYCLES)),
        "day_rate": _field("day rate", "day rate|daily rate|rate|rate per day|tarifa diaria"
                           "|tarif jour|tagessatz|tagespreis"),
        "notes": NOTES,
    },
    SheetKind.PEOPLE: {
        "name": _field("name", NAME + "|full name|person|employee|mechanic|who|empleado|persona"
                       "|nombre completo|personne|employe|nom complet|mitarbeiter|person"),
        "first_name": _field("first name", "first name|given name|nombre de pila|prenom|vorname"),
        "last_name": _field("last name", "last name|surname|family name|apellido|apellidos"
                            "|nom de famille|nachname|familienname"),
        "username": _field("user name", "username|user name|user|login|sign in|sign in name"
                           "|usuario|nombre de usuario|utilisateur|identifiant|benutzer"
                           "|benutzername|anmeldename"),
        "role": _field("role", "role|position|title|job title|job|function|rol|puesto|cargo|poste"
                       "|fonction|rolle|funktion|stelle"),
        "shop": SHOP,
        "email": _field("e-mail", "email|e mail|mail|email address|e mail address|correo"
                        "|correo electronico|courriel|adresse mail|e mail adresse"),
        "skills": _field("skills", "skills|skill|qualifications|qualification|trade|can do"
                         "|habilidades|competencias|competences|qualifikation|qualifikationen"
                         "|fahigkeiten"),
        "hours": _field("working hours", "hours|working hours|hours a week|hours per week"
                        "|weekly hours|hours a day|hours per day|daily hours|work hours|horas"
                        "|horario|heures|horaire|stunden|arbeitszeit|wochenstunden|arbeitsstunden"),
    },
    SheetKind.PARTS: {
        "number": _field("part number", "number|part number|part no|part|part num|sku|item"
                         "|item no|item number|no|nr|numero|numero de parte|pieza|no de parte"
                         "|codigo|reference|ref|numero de piece|piece|teilenummer|teile nr"
                         "|artikelnummer|artikel nr|artikel"),
        "name": _field("name", NAME + "|part name|description|descripcion|designation|libelle"
                       "|beschreibung|bezeichnung|benennung"),
        "unit": _field("unit", "unit|units|uom|unit of measure|unidad|unidades|unite|einheit"),
        "cost": COST,
        "on_hand": _field("on hand", "on hand|stock|qty|quantity|in stock|qty on hand|on shelf"
                          "|quantity on hand|count|existencias|cantidad|en stock|quantite"
                          "|bestand|menge|lagerbestand|vorrat|anzahl"),
        "shop": SHOP,
    },
    SheetKind.INTERVALS: {
        "makeup": MAKEUP,
        "maker": MAKER,
        "model": MODEL,
        "class": CLASS,
        "tag": TAG,
        "target": _field("make-up, class or machine", "for|applies to|on|what|para|pour|fur|fuer"),
        "service": SERVICE,
        "every": _field("every", "every|interval|frequency|how often|due every|repeat|recurs"
                        "|cada|intervalo|frecuencia|tous les|intervalle|frequence|alle"
                        "|intervall|haufigkeit"),
        "every_hours": _field("every, hours", HOURS + "|every hours|interval hours|hours interval"
                              "|every h|cada horas|toutes les heures|alle stunden"),
        "every_miles": _field("every, distance", ODOMETER + "|every miles|every mi|every km"
                              "|interval miles|interval km|every distance"),
        "every_cycles": _field("every, cycles", CYCLES + "|every cycles"),
        "months": _field("months", "months|every months|month|mo|interval months|meses|mois"
                         "|monate"),
        "days": _field("days", "days|every days|day|interval days|dias|jours|tage"),
        "first_at": _field("first at", "first at|first|first due|first due at|break in|run in"
                           "|primera|primer servicio|premiere|premier|erste|erstmals|zuerst"),
        "early": _field("early", "early|may be early|early by|early window|antes|avance|fruh"
                        "|fruher"),
        "late": _field("late", "late|may be late|late by|tolerance|late window|grace|tarde"
                       "|tolerancia|retard|spat|spater|toleranz"),
        "source": _field("page of the manual", "manual|page|manual page|source|page of the manual"
                         "|page of manual|reference|pagina|pagina del manual|page du manuel"
                         "|seite|quelle|handbuch seite"),
        "covers": _field("covers", "covers|counts as|also counts as|covers services|includes"
                         "|incluye|cubre|comprend|couvre|umfasst|enthalt"),
        "hard": _field("set by law", "hard|hard limit|law|by law|legal|set by law|ley|loi"
                       "|gesetz|gesetzlich"),
        "minutes": MINUTES,
    },
    SheetKind.SERVICES: {
        "tag": TAG,
        "service": SERVICE,
        "date": _field("date", "date|service date|done|done on|date done|when|performed|day"
                       "|performed on|date of service|date serviced|completed|completed on"
                       "|last service|last done|last service date|fecha|fecha de servicio"
                       "|date d entretien|le|fait le|datum|wartungsdatum|erledigt am|am"),
        "clock": _field("time of day", "time|time done|at|hora|heure|uhrzeit|zeit"),
        "meter": _field("meter", "meter|reading|meter reading|meter at service|value|shows"
                        "|at meter|medidor|lectura|compteur|releve|zahlerstand|zahler|stand"),
        "hours": _field("hours", HOURS + "|hours at service"),
        "odometer": _field("odometer", ODOMETER),
        "cycles": _field("cycles", CYCLES),
        "minutes": MINUTES,
        "notes": NOTES,
        "by": _field("done by", "by|done by|mechanic|technician|tech|who|performed by|mecanico"
                     "|hecho por|mecanicien|par|fait par|mechaniker|von|erledigt von"),
        "cost": COST,
    },
    SheetKind.BOOKINGS: {
        "tag": TAG,
        "first_day": _field("first day", "first day|out|from|start|start date|date out|check out"
                            "|pick up|pickup|begin|begins|rental start|goes out|desde|salida"
                            "|inicio|fecha de salida|fecha inicio|du|depart|debut|date de debut"
                            "|von|ab|beginn|ausgabe|startdatum|mietbeginn"),
        "last_day": _field("last day", "last day|back|to|end|end date|date back|date in|check in"
                           "|return|returns|until|due back|rental end|hasta|regreso|fin|devolucion"
                           "|fecha de regreso|fecha fin|au|retour|date de fin|bis|ende"
                           "|rueckgabe|ruckgabe|enddatum|mietende"),
        "from_time": _field("from time", "from time|time out|out time|start time|pick up time"
                            "|goes out at|hora de salida|hora de inicio|heure de depart"
                            "|uhrzeit von|ausgabezeit"),
        "to_time": _field("back at", "back at|time back|time in|return time|end time|due back at"
                          "|hora de regreso|hora de fin|heure de retour|uhrzeit bis"
                          "|rueckgabezeit|ruckgabezeit"),
        "days": _field("days", "days|number of days|no of days|duration|length|dias|jours|duree"
                       "|tage|dauer"),
        "customer": _field("customer", "customer|client|renter|customer name|name|job|ranch job"
                           "|rented to|for|hirer|cliente|arrendatario|locataire|kunde|mieter"),
        "value": _field("value", "value|amount|price|total|rent|revenue|rental value|importe"
                        "|valor|precio|montant|prix|betrag|preis|wert|mietpreis"),
    },
    SheetKind.READINGS: {
        "tag": TAG,
        "when": _field("read at", "read at|read on|when|date|datetime|date time|timestamp|date read"
                       "|reading date|date and time|day|fecha|fecha de lectura|fecha y hora"
                       "|date de releve|date du releve|date et heure|lu le|datum|ablesedatum"
                       "|abgelesen am|am|datum und uhrzeit"),
        "clock": _field("time of day", "time|time read|reading time|read time|hora|heure|uhrzeit"
                        "|zeit"),
        "value": _field("value", "value|reading|meter reading|shows|shown|meter value|lectura"
                        "|valor|releve|valeur|ablesung|zahlerstand|stand|wert"),
        "hours": _field("hours", HOURS),
        "odometer": _field("odometer", ODOMETER),
        "cycles": _field("cycles", CYCLES),
        "meter": _field("which meter", "meter|meter kind|meter type|kind|type|medidor|tipo"
                        "|compteur|zahler|typ"),
        "unit": _field("unit", "unit|units|uom|unidad|unidades|unite|einheit"),
    },
}  # fmt: skip
"""Fields of each kind of sheet by name."""

NAMED_LIKE = {
    SheetKind.MAKE_UPS: "make up makeup makeups model models type types modelos modeles modelle"
    " typen",
    SheetKind.MACHINES: "machine machines fleet equipment units assets maquinas flota equipos parc"
    " engins flotte maschinen gerate fuhrpark",
    SheetKind.PEOPLE: "people staff team employees mechanics personal gente empleados equipe"
    " personnel mitarbeiter leute",
    SheetKind.PARTS: "part parts stock inventory shelf refacciones piezas inventario repuestos"
    " pieces teile lager ersatzteile",
    SheetKind.INTERVALS: "interval intervals schedule plan intervalos intervalles intervalle",
    SheetKind.SERVICES: "service services past history log maintenance done servicios historial"
    " mantenimiento entretiens historique wartungen wartung",
    SheetKind.BOOKINGS: "booking bookings rental rentals reservations hires reservas rentas"
    " alquileres locations reservierungen buchungen vermietung",
    SheetKind.READINGS: "reading readings meter meters hours lecturas releves ablesungen zahler",
}  # fmt: skip
"""Words in the name of a sheet that hint at its kind."""

NEEDS: dict[SheetKind, tuple[tuple[str, ...], ...]] = {
    SheetKind.MAKE_UPS: (("model", "makeup"),),
    SheetKind.MACHINES: (
        ("tag",),
        ("yard", "makeup", "maker", "model", "class", "serial", "plate", "year", "started_on"),
    ),
    SheetKind.PEOPLE: (
        ("name", "username", "first_name"),
        ("role", "email", "skills", "username", "last_name"),
    ),
    SheetKind.PARTS: (("number", "name"), ("name", "on_hand", "cost")),
    SheetKind.INTERVALS: (
        ("service",),
        ("every", "every_hours", "every_miles", "every_cycles", "months", "days"),
        ("makeup", "maker", "model", "class", "tag", "target"),
    ),
    SheetKind.SERVICES: (("tag",), ("service",), ("date",)),
    SheetKind.BOOKINGS: (("tag",), ("first_day",), ("customer", "last_day", "days")),
    SheetKind.READINGS: (("tag",), ("when",), ("value", "hours", "odometer", "cycles")),
}
"""Of each group a sheet must have one field, or it is not of the kind."""
