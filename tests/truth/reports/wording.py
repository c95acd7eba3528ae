"""Words of invented reports in four languages, written down apart from the package's own lists."""

from __future__ import annotations

import datetime
import random

NAMES = {
    "en": {
        "Fe": ["Iron"], "Cr": ["Chromium", "Chrome"], "Al": ["Aluminium", "Aluminum"], "Cu": ["Copper"], "Pb": ["Lead"],
        "Sn": ["Tin"], "Ni": ["Nickel"], "Ag": ["Silver"], "Ti": ["Titanium"], "Mn": ["Manganese"], "V": ["Vanadium"],
        "Si": ["Silicon"], "Na": ["Sodium"], "K": ["Potassium"], "B": ["Boron"], "Mo": ["Molybdenum"], "Ba": ["Barium"],
        "Ca": ["Calcium"], "Mg": ["Magnesium"], "P": ["Phosphorus"], "Zn": ["Zinc"],
        "kv40": ["Viscosity at 40 °C", "Kinematic viscosity 40°C", "KV40", "Visc. @ 40 C", "Viscosity, 40 °C", "Kin. visc. 40 °C"],
        "kv100": ["Viscosity at 100 °C", "Kinematic viscosity 100°C", "KV100", "Visc. @ 100 C", "Viscosity, 100 °C", "Kin. visc. 100 °C"],
        "sus210": ["Saybolt viscosity 210 °F", "SUS viscosity @ 210°F", "Viscosity SUS 210 F", "SSU @ 210 °F"],
        "vi": ["Viscosity index", "VI", "Visc. index"], "flash": ["Flash point", "Flashpoint", "Flash point (open cup)"],
        "bn": ["Base number", "TBN", "Total base number", "BN", "Reserve alkalinity"],
        "an": ["Acid number", "TAN", "Total acid number", "AN"], "fuel": ["Fuel dilution", "Fuel", "Fuel in oil"],
        "water": ["Water", "Water content", "Water (KF)"], "glycol": ["Glycol", "Antifreeze", "Coolant (glycol)"],
        "soot": ["Soot", "Soot content"], "insolubles": ["Insolubles", "Total insolubles"], "oxidation": ["Oxidation"],
        "nitration": ["Nitration"], "sulfation": ["Sulfation", "Sulphation"],
    },
    "de": {
        "Fe": ["Eisen"], "Cr": ["Chrom"], "Al": ["Aluminium"], "Cu": ["Kupfer"], "Pb": ["Blei"], "Sn": ["Zinn"],
        "Ni": ["Nickel"], "Ag": ["Silber"], "Ti": ["Titan"], "Mn": ["Mangan"], "V": ["Vanadium"], "Si": ["Silizium", "Silicium"],
        "Na": ["Natrium"], "K": ["Kalium"], "B": ["Bor"], "Mo": ["Molybdän"], "Ba": ["Barium"], "Ca": ["Calcium", "Kalzium"],
        "Mg": ["Magnesium"], "P": ["Phosphor"], "Zn": ["Zink"], "kv40": ["Viskosität bei 40 °C", "Kin. Viskosität 40 °C", "V40"],
        "kv100": ["Viskosität bei 100 °C", "Kin. Viskosität 100 °C", "V100"], "sus210": ["Saybolt-Viskosität 210 °F"],
        "vi": ["Viskositätsindex", "VI"], "flash": ["Flammpunkt"], "bn": ["Basenzahl", "TBN", "BN", "Gesamtbasenzahl"],
        "an": ["Säurezahl", "TAN", "Neutralisationszahl"], "fuel": ["Kraftstoff", "Kraftstoffgehalt", "Kraftstoffeintrag"],
        "water": ["Wasser", "Wassergehalt"], "glycol": ["Glykol", "Frostschutz"], "soot": ["Ruß", "Rußgehalt"],
        "insolubles": ["Unlösliches", "Unlösliche Bestandteile"], "oxidation": ["Oxidation"], "nitration": ["Nitration"],
        "sulfation": ["Sulfation"],
    },
    "es": {
        "Fe": ["Hierro"], "Cr": ["Cromo"], "Al": ["Aluminio"], "Cu": ["Cobre"], "Pb": ["Plomo"], "Sn": ["Estaño"],
        "Ni": ["Níquel"], "Ag": ["Plata"], "Ti": ["Titanio"], "Mn": ["Manganeso"], "V": ["Vanadio"], "Si": ["Silicio"],
        "Na": ["Sodio"], "K": ["Potasio"], "B": ["Boro"], "Mo": ["Molibdeno"], "Ba": ["Bario"], "Ca": ["Calcio"],
        "Mg": ["Magnesio"], "P": ["Fósforo"], "Zn": ["Zinc", "Cinc"], "kv40": ["Viscosidad a 40 °C", "Viscosidad cinemática 40 °C"],
        "kv100": ["Viscosidad a 100 °C", "Viscosidad cinemática 100 °C"], "sus210": ["Viscosidad Saybolt 210 °F"],
        "vi": ["Índice de viscosidad"], "flash": ["Punto de inflamación"], "bn": ["Número básico", "TBN", "Índice de basicidad"],
        "an": ["Número ácido", "TAN", "Índice de acidez"], "fuel": ["Combustible", "Dilución por combustible"],
        "water": ["Agua", "Contenido de agua"], "glycol": ["Glicol"], "soot": ["Hollín"], "insolubles": ["Insolubles"],
        "oxidation": ["Oxidación"], "nitration": ["Nitración"], "sulfation": ["Sulfatación"],
    },
    "fr": {
        "Fe": ["Fer"], "Cr": ["Chrome"], "Al": ["Aluminium"], "Cu": ["Cuivre"], "Pb": ["Plomb"], "Sn": ["Étain"],
        "Ni": ["Nickel"], "Ag": ["Argent"], "Ti": ["Titane"], "Mn": ["Manganèse"], "V": ["Vanadium"], "Si": ["Silicium"],
        "Na": ["Sodium"], "K": ["Potassium"], "B": ["Bore"], "Mo": ["Molybdène"], "Ba": ["Baryum"], "Ca": ["Calcium"],
        "Mg": ["Magnésium"], "P": ["Phosphore"], "Zn": ["Zinc"], "kv40": ["Viscosité à 40 °C", "Viscosité cinématique 40 °C"],
        "kv100": ["Viscosité à 100 °C", "Viscosité cinématique 100 °C"], "sus210": ["Viscosité Saybolt 210 °F"],
        "vi": ["Indice de viscosité"], "flash": ["Point d'éclair", "Point éclair"], "bn": ["Indice de base", "TBN", "Indice de basicité"],
        "an": ["Indice d'acide", "TAN"], "fuel": ["Carburant", "Dilution carburant"], "water": ["Eau", "Teneur en eau"],
        "glycol": ["Glycol"], "soot": ["Suie", "Suies"], "insolubles": ["Insolubles"], "oxidation": ["Oxydation"],
        "nitration": ["Nitration"], "sulfation": ["Sulfatation"],
    },
}  # fmt: skip
UNITS = {
    "mg/kg": ["mg/kg", "ppm", "ppm", "mg/kg"], "mm²/s": ["mm²/s", "cSt", "mm2/s"], "SUS": ["SUS", "SSU"],
    "°C": ["°C", "deg C", "C"], "°F": ["°F", "deg F", "F"], "mgKOH/g": ["mgKOH/g", "mg KOH/g", "mg KOH / g"],
    "%": ["%", "% m/m", "wt%", "%"], "A/cm": ["A/cm", "Abs/cm"], "A/0.1mm": ["A/0.1mm", "Abs/0.1 mm"], "": [""],
}  # fmt: skip
WORDS = {
    "en": {
        "name": ["Test", "Element", "Measured", "Property", "Determination", ""], "unit": ["Unit", "Units", "in"],
        "method": ["Method", "By", "Procedure"], "value": ["Result", "Value", "Found", "Measured", "This sample"],
        "mean": ["Mean", "Fleet mean", "Population mean", "Typical", "Mean of all", "Average", "Peers", "Family average", "All engines alike", "Usual"],
        "own": ["Mean of this engine", "This engine's own mean", "Own average", "Engine average so far"],
        "limit": ["Limit", "Upper limit", "Max.", "Not above", "Alarm at"], "range": ["Range", "Normal range", "Bounds"],
        "change": ["Change", "Δ", "Difference", "Change since last"], "flag": ["Flag", "Status", "Note", ""],
        "date": ["Sample date", "Sampled", "Date sampled", "Taken on", "Drawn"], "received": ["Received", "Date received"],
        "reported": ["Reported", "Report date", "Issued"],
        "oil_km": ["Distance on oil", "Run on this fill", "Oil distance", "Distance since oil change"],
        "oil_mi": ["Miles on oil", "Distance on oil", "Oil miles", "Run on this fill"], "oil_h": ["Hours on oil", "Oil hours", "Hours since oil change"],
        "engine_km": ["Odometer", "Engine distance", "Total distance"], "engine_mi": ["Odometer", "Miles on engine", "Total miles"],
        "engine_h": ["Engine hours", "Total hours", "Hour meter"], "label": ["Sample no.", "Laboratory no.", "Bottle", "Sample ID", "Lab number"],
        "oil": ["Oil", "Lubricant", "Oil in use", "Product"], "grade": ["Grade", "SAE grade", "Viscosity grade"], "engine": ["Engine", "Engine type", "Machine"],
        "customer": ["Customer", "Owner", "For"], "page": ["Page {a} of {b}"], "wear": ["Wear metals", "Metals worn off"],
        "additives": ["Additives", "Additive elements"], "dirt": ["Contaminants", "From outside"], "fluid": ["Condition of the oil", "Physical tests"],
        "notes": ["All elements in {u}.", "Elements are given in {u}.", "Metals in {u}"], "result_of": ["Oil report", "Report on used oil", "Analysis of engine oil"],
        "advice": ["We suggest the next oil change after {d}.", "The next fill may run {d}; the last one ran {r}.",
                   "Advice: go to {d} on the next fill, then sample again.", "All looks well after {r}. Recommended next interval: {d}.",
                   "This oil ran {r}; the mean of the family was taken at {m}. Change the oil at {d} next time."],
        "plain": ["Nothing asks for attention.", "Iron stands a little above the mean.", "Wear is low and steady.", "Silicon is up: look at the air filter."],
        "small": ["Invented for testing; no such laboratory exists.", "Results refer to the sample as received. Form 27, issue 4.",
                  "A base number below 2 calls for a change of oil.", "H = high, L = low. Limits after house rule 12."],
        "prose": ["{n} was found at {v}", "{n} {v}", "{n} at {v}", "{n} came to {v}"], "prose_mean": ["(mean {m})", "(fleet average {m})"],
        "current": ["Current", "This sample", "Latest"], "previous": ["Previous", "Before", "Last time"], "sample_n": ["Sample {i}"],
        "row_mean": ["Mean", "Fleet mean", "Average of family"], "row_limit": ["Limit", "Maximum"], "row_own": ["Own mean", "Mean of this engine"],
    },
    "de": {
        "name": ["Prüfgröße", "Parameter", "Element", ""], "unit": ["Einheit"], "method": ["Verfahren", "Methode", "Norm"],
        "value": ["Ergebnis", "Messwert", "Befund"], "mean": ["Mittelwert", "Flottenmittel", "Vergleichswert", "Durchschnitt", "Mittel vergleichbarer Motoren"],
        "own": ["Mittel dieses Motors", "Eigenes Mittel"], "limit": ["Grenzwert", "Höchstwert", "max."], "range": ["Bereich", "Normalbereich"],
        "change": ["Änderung", "Differenz", "Δ"], "flag": ["Bewertung", "Status", ""], "date": ["Probenahme", "Entnommen am", "Probenahmedatum"],
        "received": ["Eingang", "Eingangsdatum"], "reported": ["Berichtsdatum", "Ausgestellt am"], "oil_km": ["Laufleistung Öl", "km seit Ölwechsel", "Öllaufleistung"],
        "oil_mi": ["Laufleistung Öl"], "oil_h": ["Ölbetriebsstunden", "Betriebsstunden Öl"], "engine_km": ["Kilometerstand", "Gesamtlaufleistung"],
        "engine_mi": ["Gesamtlaufleistung"], "engine_h": ["Betriebsstunden", "Motorstunden"], "label": ["Labornummer", "Proben-Nr.", "Probennummer"],
        "oil": ["Öl", "Ölsorte", "Schmierstoff"], "grade": ["Viskositätsklasse", "SAE-Klasse"], "engine": ["Motor", "Motortyp"], "customer": ["Kunde", "Auftraggeber"],
        "page": ["Seite {a} von {b}"], "wear": ["Verschleißmetalle"], "additives": ["Additive"], "dirt": ["Verunreinigungen"], "fluid": ["Ölzustand"],
        "notes": ["Alle Elemente in {u}.", "Metalle in {u}"], "result_of": ["Ölbericht", "Untersuchung von Motoröl"],
        "advice": ["Wir empfehlen den nächsten Ölwechsel nach {d}.", "Nächste Füllung: bis {d} (bisher {r})."],
        "plain": ["Alles unauffällig.", "Eisen liegt leicht über dem Mittel."], "small": ["Zum Prüfen erfunden; ein solches Labor gibt es nicht."],
        "prose": ["{n} liegt bei {v}", "{n} {v}"], "prose_mean": ["(Mittel {m})"], "current": ["Aktuell", "Diese Probe"], "previous": ["Vorprobe", "Davor"],
        "sample_n": ["Probe {i}"], "row_mean": ["Mittelwert", "Flottenmittel"], "row_limit": ["Grenzwert"], "row_own": ["Eigenes Mittel"],
    },
    "es": {
        "name": ["Ensayo", "Parámetro", "Elemento", ""], "unit": ["Unidad"], "method": ["Método", "Norma"], "value": ["Resultado", "Valor"],
        "mean": ["Media", "Promedio", "Media de la flota", "Valor típico"], "own": ["Media de este motor", "Promedio propio"], "limit": ["Límite", "Máximo", "máx."],
        "range": ["Rango", "Rango normal"], "change": ["Cambio", "Variación", "Diferencia"], "flag": ["Estado", "Nota", ""], "date": ["Fecha de muestreo", "Fecha de muestra"],
        "received": ["Recibido", "Fecha de recepción"], "reported": ["Fecha de informe"], "oil_km": ["Recorrido del aceite", "Km del aceite"], "oil_mi": ["Recorrido del aceite"],
        "oil_h": ["Horas del aceite"], "engine_km": ["Kilometraje", "Cuentakilómetros"], "engine_mi": ["Recorrido total"], "engine_h": ["Horas del motor"],
        "label": ["Nº de muestra", "Nº de laboratorio"], "oil": ["Aceite", "Lubricante"], "grade": ["Grado SAE", "Grado"], "engine": ["Motor", "Tipo de motor"], "customer": ["Cliente"],
        "page": ["Página {a} de {b}"], "wear": ["Metales de desgaste"], "additives": ["Aditivos"], "dirt": ["Contaminantes"], "fluid": ["Estado del aceite"],
        "notes": ["Todos los elementos en {u}.", "Metales en {u}"], "result_of": ["Informe de aceite"], "advice": ["Recomendamos el próximo cambio a los {d}.", "Próximo cambio de aceite: {d} (hasta ahora {r})."],
        "plain": ["Sin novedad.", "El hierro está algo por encima de la media."], "small": ["Inventado para pruebas; no existe tal laboratorio."], "prose": ["{n} {v}", "{n}: {v}"],
        "prose_mean": ["(media {m})"], "current": ["Actual", "Esta muestra"], "previous": ["Anterior"], "sample_n": ["Muestra {i}"], "row_mean": ["Media", "Promedio de la flota"], "row_limit": ["Límite"], "row_own": ["Promedio propio"],
    },
    "fr": {
        "name": ["Essai", "Paramètre", "Élément", ""], "unit": ["Unité"], "method": ["Méthode", "Norme"], "value": ["Résultat", "Valeur", "Mesure"],
        "mean": ["Moyenne", "Moyenne du parc", "Valeur typique", "Référence"], "own": ["Moyenne de ce moteur", "Moyenne propre"], "limit": ["Limite", "Maximum", "Seuil"],
        "range": ["Plage", "Plage normale"], "change": ["Variation", "Écart", "Évolution"], "flag": ["État", "Remarque", ""], "date": ["Date de prélèvement", "Prélevé le"],
        "received": ["Reçu le", "Date de réception"], "reported": ["Date du rapport"], "oil_km": ["Kilométrage huile", "Km depuis vidange"], "oil_mi": ["Distance de l'huile"],
        "oil_h": ["Heures de l'huile", "Heures huile"], "engine_km": ["Kilométrage", "Compteur"], "engine_mi": ["Distance totale"], "engine_h": ["Heures moteur"], "label": ["N° d'échantillon", "N° de laboratoire"],
        "oil": ["Huile", "Lubrifiant"], "grade": ["Grade SAE", "Grade"], "engine": ["Moteur", "Type de moteur"], "customer": ["Client"], "page": ["Page {a} sur {b}"],
        "wear": ["Métaux d'usure"], "additives": ["Additifs"], "dirt": ["Contaminants"], "fluid": ["État de l'huile"], "notes": ["Tous les éléments en {u}.", "Métaux en {u}"],
        "result_of": ["Rapport d'huile"], "advice": ["Nous conseillons la prochaine vidange à {d}.", "Prochaine vidange : {d} (jusqu'ici {r})."], "plain": ["Rien à signaler.", "Le fer est un peu au-dessus de la moyenne."],
        "small": ["Inventé pour les essais ; ce laboratoire n'existe pas."], "prose": ["{n} {v}", "{n} : {v}"], "prose_mean": ["(moyenne {m})"], "current": ["Actuel", "Cet échantillon"], "previous": ["Précédent"],
        "sample_n": ["Échantillon {i}"], "row_mean": ["Moyenne", "Moyenne du parc"], "row_limit": ["Limite"], "row_own": ["Moyenne propre"],
    },
}  # fmt: skip
MONTHS = {
    "en": "January February March April May June July August September October November December",
    "de": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    "fr": "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
}


def date_style(rng: random.Random, language: str) -> str:
    """Choose how dates are written."""
    styles = {
        "en": ("iso", "iso", "d mon y", "d month y", "month d, y", "m/d/y", "d/m/y", "d-mon-y"),
        "de": ("iso", "d.m.y", "d.m.y", "d. month y", "d.m.yy"),
        "es": ("iso", "d/m/y", "d de month de y", "d-m-y"),
        "fr": ("iso", "d/m/y", "d month y", "d.m.y"),
    }
    return rng.choice(styles[language])


def write_date(day: datetime.date, style: str, language: str) -> str:
    """Write a date in a style."""
    month = MONTHS[language].split()[day.month - 1]
    return {
        "iso": day.isoformat(),
        "d mon y": f"{day.day} {month[:3]} {day.year}",
        "d-mon-y": f"{day.day:02d}-{month[:3]}-{day.year}",
        "d month y": f"{day.day} {month} {day.year}",
        "d. month y": f"{day.day}. {month} {day.year}",
        "month d, y": f"{month} {day.day}, {day.year}",
        "m/d/y": f"{day.month:02d}/{day.day:02d}/{day.year}",
        "d/m/y": f"{day.day:02d}/{day.month:02d}/{day.year}",
        "d-m-y": f"{day.day:02d}-{day.month:02d}-{day.year}",
        "d.m.y": f"{day.day:02d}.{day.month:02d}.{day.year}",
        "d.m.yy": f"{day.day}.{day.month}.{day.year % 100:02d}",
        "d de month de y": f"{day.day} de {month} de {day.year}",
    }[style]
