"""Sentences that Python made, said on a Spanish page."""

import pytest
from django.utils.safestring import mark_safe
from django.utils.translation import override

from fleet.tongues.phrase_book import spoken


@pytest.fixture
def spanish():
    with override("es"):
        yield


SAID = {
    "Shop days": "Días de taller",
    "held: Brakes: el pedal se va": "retenida: Frenos: el pedal se va",
    "Noted on Q-14: It leaks: por abajo.": "Anotado en Q-14: Gotea: por abajo.",
    "There is no machine ZZ-99 in your yards.": "No hay ninguna máquina ZZ-99 en sus patios.",
    "engine oil 15W-40: none on the shelf. It is on the order list, and the plan is being made "
    "again.": (
        "aceite de motor 15W-40: no hay en el estante. Está en la lista de pedidos, y el plan se "
        "hace otra vez."
    ),
    "WARNING: Engine off, key out, tag on. Lock out every source of energy, so that nobody can "
    "start or switch it on while you work.": (
        "ADVERTENCIA: Motor apagado, llave afuera, etiqueta puesta. Bloquee toda fuente de "
        "energía, para que nadie pueda arrancarla ni encenderla mientras usted trabaja."
    ),
    "1 held": "1 retenida",
    "11 overdue": "11 vencidas",
    "40 due": "40 a las que ya les toca",
    "1 coming due": "1 a la que pronto le toca",
    "34 clear": "34 al día",
    "Thu 3 Dec": "jue 3 dic",
    "Wed 25 Nov 2026, 14:05": "mié 25 nov 2026, 14:05",
    "3 December 2026": "3 diciembre 2026",
    "Thu 3 Dec, in 8 days": "jue 3 dic, en 8 días",
    "between Thu 3 and Tue 15 Dec": "entre jue 3 y mar 15 dic",
    "2 h 15 min": "2 h 15 min",
    "1,204.5 h": "1,204.5 h",
    "318 cycles": "318 ciclos",
    "3 months ago": "hace 3 meses",
    "Tomorrow": "Mañana",
    "Write your name. Write a password.": "Escriba su nombre. Escriba una contraseña.",
    ("Grease and look-over due in 19 days, 30 h left"): (
        "Engrase y revisión toca en 19 días, faltan 30 h"
    ),
    ("2.2 h a day over the last 6 weeks; 19 h to go"): (
        "2.2 h al día en las últimas 6 semanas; faltan 19 h"
    ),
    ("By the season: due Sun 15 Nov; last done Sat 8 Nov"): (
        "Por temporada: toca el dom 15 nov; hecho por última vez el sáb 8 nov"
    ),
    ("It covers Roll-over frame, belt and shaft guards and Hydraulic oil and filter."): (
        "Cubre Arco antivuelco, cinturón y guardas de la flecha y Aceite hidráulico y filtro."
    ),
    (
        "The next best place, Thu 10 Dec with Ingrid Solway, would cost $78.90 more (visits "
        "+$32.00, late work −$16.20)."
    ): (
        "El siguiente mejor lugar, jue 10 dic con Ingrid Solway, costaría $78.90 más "
        "(visitas +$32.00, trabajo tarde −$16.20)."
    ),
    "clear: Battery and charging check due in 34 days": (
        "al día: Revisión de batería y carga toca en 34 días"
    ),
    "FL-COOL coolant, ready mixed": "FL-COOL refrigerante, ya mezclado",
    (
        "Mon 30 Nov would cost $84.00 less, but Bram Quist has 3.42 of 5 h taken, Runa Lund has "
        "7.73 of 8 h taken; one more hour that day would be worth $0.52."
    ): (
        "lun 30 nov costaría $84.00 menos, pero Bram Quist tiene ocupadas 3.42 de 5 h, Runa Lund "
        "tiene ocupadas 7.73 de 8 h; una hora más ese día valdría $0.52."
    ),
    (
        "It is done in one visit with Battery and charging check, Drive belt measured, dust blown "
        "out and 1 more; Fri 4 Dec would cost $2.00 less, but the machine is booked out Thu 3 Dec "
        "to Sat 5 Dec."
    ): (
        "Se hace en una visita con Revisión de batería y carga, Banda de tracción medida, polvo "
        "soplado y 1 más; vie 4 dic costaría $2.00 menos, pero la máquina está reservada para "
        "salir, jue 3 dic a sáb 5 dic."
    ),
    (
        "Doing it in one visit with Boot split; grease everywhere saves a second visit ($69.43) "
        "but comes 45.5 days early ($176.10); one more hour that day would be worth $0.52."
    ): (
        "Hacerlo en una visita con Boot split; grease everywhere ahorra una segunda visita "
        "($69.43) pero llega 45.5 días antes ($176.10); una hora más ese día valdría $0.52."
    ),
    (
        "G-05 showed 1,645.0 h on Mon 2 Nov; 194.7 h would be 1,450.3 h back. With the decimal "
        "point one place over it fits: was it 1,947.0 h?"
    ): (
        "G-05 marcaba 1,645.0 h el lun 2 nov; 194.7 h serían 1,450.3 h hacia atrás. Con el punto "
        "decimal un lugar más allá sí queda: ¿era 1,947.0 h?"
    ),
    "Tue 5 May, 7 months ago": "mar 5 mayo, hace 7 meses",
    (
        "With Ingrid Solway away on Mon 30 Nov, 10 pieces of work move, 6 pieces more are put "
        "beyond the plan and 1 booking is lost; the plan costs $3,525 more, and 93 days more "
        "overdue are expected."
    ): (
        "Con Ingrid Solway ausente el lun 30 nov, se mueven 10 trabajos, 6 trabajos más quedan "
        "más allá del plan y se pierde 1 reserva; el plan cuesta $3,525 más, y se esperan 93 días "
        "más de atraso."
    ),
    (
        "With only 3 of oil filter, diesel large on the shelf and Q-03 broken down, 2 pieces of "
        "work move; the plan costs $3.00 less (the search leaves $31.00 open)."
    ): (
        "Con solo 3 de filtro de aceite, diésel grande en el estante y Q-03 descompuesta, se "
        "mueven 2 trabajos; el plan cuesta $3.00 menos (la búsqueda deja abiertos $31.00)."
    ),
    (
        "It makes room on Wed 2 Dec with Ingrid Solway for Utility tractor with PTO: basic service "
        "on T-03, Roll-over frame, belt and shaft guards on T-03 and Made ready for winter on T-03."
    ): (
        "Deja lugar el mié 2 dic con Ingrid Solway para Tractor utilitario con toma de fuerza: "
        "servicio básico de T-03, Arco antivuelco, cinturón y guardas de la flecha de T-03 y "
        "Preparada para el invierno de T-03."
    ),
    "With Teo Marsh, 1 h 30 min.": "Con Teo Marsh, 1 h 30 min.",
    "Q-10 for Alder Creek Fencing, Sat 5 Dec to Sun 6 Dec": (
        "Q-10 para Alder Creek Fencing, sáb 5 dic a dom 6 dic"
    ),
    (
        "There is no free place for it in this plan; with enough engine oil 5W-40, it could be "
        "done on Thu 10 Dec with Ingrid Solway for $479.28 less."
    ): (
        "No hay lugar libre para él en este plan; con suficiente aceite de motor 5W-40, se podría "
        "hacer el jue 10 dic con Ingrid Solway por $479.28 menos."
    ),
    (
        "Last read 112 days ago; a reading would narrow the dates of Lift: wear pads and pins by "
        "cycles by 77 days"
    ): (
        "Última lectura hace 112 días; una lectura acercaría las fechas de Elevador: placas de "
        "desgaste y pasadores por ciclos en 77 días"
    ),
    (
        "Fill 2.25 qt of 10W-40 first, short of the full amount. Run it two minutes, stop, "
        "let it stand, check the stick, and top up with the rest, 0.15 qt; 2.40 qt in all."
    ): (
        "Ponga primero 2.25 qt de 10W-40, menos de lo completo. Ande dos minutos, pare, deje "
        "reposar, revise la varilla, y complete con el resto, 0.15 qt; 2.40 qt en total."
    ),
}


@pytest.mark.parametrize("english", SAID)
def test_a_sentence_is_said_in_spanish(spanish, english):
    assert spoken(english) == SAID[english]


@pytest.mark.parametrize(
    "typed",
    [
        "Rattles in second gear; look at the left boot, Ana and Luis heard it.",
        "at the left boot",
        "the left boot",
        "Three cylinders low on compression, blue smoke, oil in the coolant.",
        "Arms, boom: with oil on them",
        "With care, slowly and quietly.",
    ],
)
def test_what_people_typed_stays_as_they_typed_it(spanish, typed):
    assert spoken(typed) == typed


def test_an_english_page_says_it_as_it_is():
    assert spoken("Thu 3 Dec, in 8 days") == "Thu 3 Dec, in 8 days"


def test_what_is_drawn_already_is_left_alone(spanish):
    assert spoken(mark_safe("<b>today</b>")) == "<b>today</b>"
