#!/usr/bin/env python3
"""Builds the price sheets of the corpus that come from tools other than excelize: openpyxl, LibreOffice, plain text.

Run in this folder: python3 foreign.py. Needs openpyxl 3.0 or later and, for the files marked so in ../README.md,
LibreOffice (soffice) on the path. Every supplier, price and address in here is invented. Files once built are kept;
building them anew changes their bytes (time stamps), not their cells.
"""
import datetime, os, shutil, subprocess, tempfile, zipfile
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table, TableStyleInfo

OUT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "corpus")


def fill(ws, rows, top=1, left=1):
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if v is not None:
                ws.cell(row=top + r, column=left + c, value=v)


def book(*sheets):
    """A workbook of (name, rows) sheets."""
    wb = Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        fill(wb.create_sheet(name), rows)
    return wb


def save(wb, name):
    wb.save(os.path.join(OUT, name + ".xlsx"))


def office(path, kind, name):
    """Lets LibreOffice write a file anew, as another kind or as its own .xlsx."""
    with tempfile.TemporaryDirectory() as d:
        subprocess.run(["soffice", "-env:UserInstallation=file://" + d + "/profile", "--headless", "--convert-to", kind, "--outdir", d + "/out", path],
                       check=True, capture_output=True)
        made = os.listdir(d + "/out")[0]
        shutil.move(d + "/out/" + made, os.path.join(OUT, name))


def save_by_office(wb, name, kind="xlsx"):
    with tempfile.TemporaryDirectory() as d:
        path = d + "/in.xlsx"
        wb.save(path)
        office(path, kind, name + "." + kind.split(":")[0])


def two_row_header():
    wb = book(("EU stock", [
        ["Invented Timber Co. – EU stock list"],
        ["Species", "Grade", "Dimensions", None, None, "Price", "Delivery", "Stock"],
        [None, None, "Thickness mm", "Width mm", "Length mm", "EUR/m³", "weeks", "m³"],
        ["European beech", "A", 26, 150, 2500, 640, 2, 10],
        ["European ash", "A", 32, 160, 3000, 890, 4, 3.5],
        ["Silver birch", "B", 26, 120, 2000, 575, 2, None],
        ["Black locust", "A/B", 27, 100, 2000, 1180, 6, 1.25],
    ]))
    ws = wb.active
    for area in ("A2:A3", "B2:B3", "C2:E2"):
        ws.merge_cells(area)
    ws["C2"].alignment = Alignment(horizontal="center")
    save(wb, "two-row-header")


def three_row_header_matrix():
    wb = book(("Preise", [
        ["Preise Laubholz, besäumt, KD 8 %"],
        ["Breite mm", "Länge mm", "Esche", None, "Rotbuche", None],
        [None, None, "26 mm", "32 mm", "26 mm", "32 mm"],
        [None, None, "€/m³", "€/m³", "€/m³", "€/m³"],
        [120, 2000, 720, 760, 560, 590],
        [150, 2500, 790, 830, 610, 640],
        [180, 3000, 860, "a. A.", 660, "–"],
    ]))
    ws = wb.active
    for area in ("A2:A4", "B2:B4", "C2:D2", "E2:F2"):
        ws.merge_cells(area)
    save(wb, "three-row-header-matrix")


def one_sheet_per_wood():
    head = ["Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"]
    wb = book(
        ("Inhalt", [["Inhaltsverzeichnis"], ["Blatt", "Inhalt"], ["Rotbuche", "Bretter besäumt"], ["Esche", "Bretter besäumt"], ["Erle", "Bretter besäumt"]]),
        ("Rotbuche", [head, [26, 150, 2500, 620], [32, 150, 2500, 660]]),
        ("Esche", [["Esche, besäumt, KD"], [], head, [26, 160, 3000, 870], [40, 160, 3000, 940]]),
        ("Erle", [head, [26, 120, 2000, 700]]),
        ("AGB", [["Allgemeine Bedingungen"], ["Preise freibleibend, Zwischenverkauf vorbehalten."], ["Zahlbar 30 Tage netto."]]),
    )
    save_by_office(wb, "one-sheet-per-wood")


def merged_wood_cells():
    wb = book(("Bretter", [
        ["Holzart", "Güte", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"],
        ["Esche", "A", 26, 150, 2500, 860],
        [None, None, 32, 150, 2500, 900],
        [None, None, 40, 150, 2500, 945],
        ["Rotbuche", "A", 26, 150, 2500, 610],
        [None, "B", 26, 120, 2000, 480],
        ["Birke", "A", 26, 120, 2000, 640],
        [None, "B", 26, 100, 2000, 510],
    ]))
    ws = wb.active
    for area in ("A2:A4", "B2:B4", "A5:A6", "A7:A8"):
        ws.merge_cells(area)
    save(wb, "merged-wood-cells")


def section_titles():
    wb = book(("Hardwoods", [
        ["Invented Hardwoods – price list no. 4"],
        [],
        ["Thickness", "Grade", "Width", "Length", "Price $/BF", "Min. BF"],
        ["HARD MAPLE – kiln dried, 6–8 %"],
        ["4/4", "FAS", '6"+', "8'+", 4.10, 100],
        ["5/4", "FAS", '6"+', "8'+", 4.55, 100],
        ["RED OAK – kiln dried, 6–8 %"],
        ["4/4", "No. 1 Common", '5"+', "6'-12'", 2.05, 200],
        ["8/4", "FAS", '6"+', "8'+", 3.90, 100],
        ["SPECIALS"],
        ["4/4", "FAS", '6"+', "8'+", 3.00, None],
        ["WHITE ASH – green"],
        ["4/4", "FAS", '6"+', "8'+", 1.30, 500],
    ]))
    ws = wb.active
    for row in (4, 7, 10, 12):
        ws.merge_cells(start_row=row, end_row=row, start_column=1, end_column=6)
        ws.cell(row=row, column=1).fill = PatternFill("solid", fgColor="DDDDAA")
        ws.cell(row=row, column=1).font = Font(bold=True)
    save(wb, "section-titles")


def matrix_thickness_across():
    wb = book(("Hardwood", [
        ["Hardwood price list, USD per board foot, kiln dried"],
        [],
        ["Species", "Grade", "Width", "Length", "4/4", "5/4", "6/4", "8/4"],
        ["Hard maple", "FAS", '6"+', "8'-12'", 4.10, 4.50, 4.80, 5.60],
        ["Hard maple", "No. 1 Common", '4"+', "6'-10'", 2.60, 2.85, "POA", 3.40],
        ["White ash", "FAS", '6"+', "8'-12'", 3.10, 3.35, None, 4.05],
        ["Basswood", "FAS", '5"+', "8'+", 1.55, 1.70, 1.85, 2.10],
        ["Soft maple", "FAS", '6"+', "8'+", 2.10, 2.25, 2.40, 2.80],
        ["8/4 and thicker subject to availability"],
    ]))
    save(wb, "matrix-thickness-across")


def matrix_wood_across():
    wb = book(("Listino", [
        ["Listino prezzi – tavolame refilato, €/mc IVA esclusa"],
        ["Spessore mm", "Larghezza mm", "Lunghezza mm", "Faggio", "Frassino", "Betulla", "Ontano"],
        [26, 120, 2000, 620, 840, 780, 700],
        [32, 120, 2000, 650, "a richiesta", 810, 730],
        [40, 140, 2500, 690, 930, None, 790],
    ]))
    save_by_office(wb, "matrix-wood-across")


def price_breaks_columns():
    wb = book(("Staffel", [
        ["Staffelpreise in EUR je m³, netto"],
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "ab 1 m³", "ab 3 m³", "ab 5 m³"],
        ["Rotbuche", 26, 150, 2500, 640, 610, 590],
        ["Esche", 26, 150, 2500, 890, 850, None],
        ["Birke", 26, 120, 2000, 700, 670, "a. A."],
        ["Robinie", 26, 100, 2000, "1.150,-", "1.120,-", "1.090,-"],
    ]), ("bis und ab", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³ bis 5 m³", "Preis €/m³ ab 5 m³"],
        ["Rotbuche", 26, 150, 2500, 640, 600],
        ["Esche", 26, 150, 2500, 890, None],
    ]))
    save(wb, "price-breaks-columns")


def price_breaks_incremental():
    wb = book(("Staffel", [
        ["Staffelpreise in EUR je m³, netto"],
        ["Der niedrigere Preis gilt nur für die Menge über der jeweiligen Schwelle."],
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "ab 1 m³", "ab 3 m³", "ab 5 m³"],
        ["Rotbuche", 26, 150, 2500, 640, 610, 590],
        ["Esche", 26, 150, 2500, 890, 850, 830],
    ]))
    save(wb, "price-breaks-incremental")


def tables_side_by_side():
    head = ["Species", "Thickness", "Width in", "Length ft", "$/BF"]
    wb = book(("List", [
        ["Red and white – spring list"],
        ["FAS", None, None, None, None, None, "No. 1 Common"],
        head + [None] + head,
        ["Hard maple", "4/4", 6, 8, 4.05, None, "Hard maple", "4/4", 4, 6, 2.70],
        ["Red oak", "4/4", 6, 8, 3.10, None, "Red oak", "5/4", 4, 6, 2.05],
        ["White ash", "5/4", 6, 10, 3.45, None, None, None, None, None, None],
        [None, None, None, None, None, None, "Hickory", "4/4", 4, 6, "call"],
    ]), ("offset", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"],
        ["European beech", 26, 150, 2500, 640, None, "Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"],
        ["European ash", 26, 150, 2500, 880, None, "Silver birch", 32, 120, 2000, 700],
    ]))
    ws = wb.active
    ws.merge_cells("A2:E2")
    ws.merge_cells("G2:K2")
    save(wb, "tables-side-by-side")


def repeated_headers():
    head = ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Bestand m³"]
    wb = book(("Seite 1-3", [
        ["Sägewerk Beispielhain (erfunden)"],
        head,
        ["Rotbuche", 26, 150, 2500, 620, 4],
        ["Rotbuche", 32, 150, 2500, 650, 6],
        ["Zwischensumme", None, None, None, None, 10],
        ["--------", "--------", "--------", "--------", "--------", "--------"],
        ["Seite 1 von 3"],
        head,
        ["Fortsetzung Rotbuche"],
        ["Rotbuche", 40, 150, 2500, 690, 2],
        ["Esche", 26, 160, 3000, 870, 3],
        ["Durchschnitt", None, None, None, 700, None],
        ["Seite 2 von 3"],
        [],
        head,
        ["Esche", 40, 160, 3000, 930, 1.5],
        ["Übertrag", None, None, None, None, 16.5],
        ["Gesamt", None, None, None, None, 16.5],
    ]))
    save_by_office(wb, "repeated-headers")


def french():
    wb = book(("Tarif", [
        ["Scierie Imaginaire – tarif 2026, prix HT départ"],
        ["Essence", "Choix", "Ép. mm", "Larg. mm", "Long. m", "Séchage", "P.U. HT €/m³", "Quantité mini m³", "Disponible m³", "Délai", "PEFC"],
        ["Hêtre étuvé", "1er choix", 27, "100-180 mm", "2,00–4,00 m", "séché 8-10 %", "1\u202f050,00", "0,5", "12,5", "2 semaines", "oui"],
        ["Frêne", "A", 27, 150, 2.5, "séché 8-10 %", "1 190,50 €", 1, "épuisé", "3 à 4 semaines", "non"],
        ["Bouleau", "A", 34, 120, "2,00 m", "ressuyé", "sur demande", None, 3, None, None],
        ["Peuplier", "B", 41, 200, 2.5, "ressuyé", 410, None, 20, "en stock", "oui"],
        ["Tilleul", "A", 27, 150, 2, "séché 8-10 %", 690, None, 2, "en stock", "non"],
        ["Robinier faux-acacia", "A", 27, 100, 2, "séché", "nous consulter", None, None, None, None],
        ["Prix valables jusqu'au 30/06/2026"],
    ]))
    save(wb, "french")


def italian():
    wb = book(("Listino", [
        ["Segheria Inventata – listino tavolame"],
        ["Essenza", "Scelta", "Spessore (mm)", "Larghezza (mm)", "Lunghezza (m)", "Umidità", "Prezzo €/mc", "Giacenza mc", "Consegna"],
        ["Faggio", "A", 25, 150, 2.5, "8-10 %", 655, "4,250", "pronto"],
        ["Frassino", "A", 32, 160, 3, "10 %", "1.150,00", "2,500", "2 settimane"],
        ["Robinia", "B", 26, 100, 2, "12 %", "1.240,-", "esaurito", None],
        ["Pioppo", "B", 40, 180, 2.5, "fresco", 380, 25, "pronto"],
        ["Betulla", "A", 26, 120, 2, "8-10 %", "su richiesta", None, None],
        ["Totale", None, None, None, None, None, None, "31,750", None],
    ]))
    save_by_office(wb, "italian")


def mixed_languages():
    wb = book(("Liste", [
        ["Holzart", "Grade", "Stärke mm", "Breite mm", "Länge mm", "Traitement", "Preis €/m³", "Dispo"],
        ["European beech", "A", 26, 150, 2500, "étuvé, KD", 640, "en stock"],
        ["ESCHE ", "FAS", 26, 150, 2500, "KD", 900, "ja"],
        ["Esche  weiss", "A", 26, 150, 2500, "KD", 980, None],
        ["Esch\u0435", "A", 26, 150, 2500, "KD", 900, None],
        ["Silver\u00a0birch", "A", 26, 120, 2000, "AD", 560, None],
        ["Rot-\nbuche", "A", 26, 150, 2500, "KD", 610, None],
        ["Buche\n(gedämpft)", "B", 26, 150, 2500, "KD", 600, None],
        ["beech", "A", 26, 150, 2500, "KD", 600, None],
        ["Eshe", "A", 26, 150, 2500, "KD", 900, None],
        ["Bergahorn", "A", 26, 150, 2500, "KD", 1200, None],
    ]))
    save(wb, "mixed-languages")


def numbers_as_text():
    wb = book(("comma", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³"],
        ["Rotbuche", "26", "150", "2,5", "620,50"],
        ["Rotbuche", 32, 150, 2.5, 655],
        ["Esche", "26,0", "160", "3,00", "1.350,00 €"],
        ["Esche", "26", "160", "3,00", "1.350"],
        ["Robinie", "26", "100", "2", "'1190"],
        ["Birke", "26", "120", "2,0", "1'050,00"],
        ["Pappel", "40", "200", "2,5", "410,00 EUR / m³"],
    ]), ("two marks", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"],
        ["European beech", 26, 150, 2500, "620.50"],
        ["European beech", 32, 150, 2500, "655,50"],
        ["European ash", 26, 150, 2500, "1.150"],
        ["European ash", 32, 150, 2500, "1.195,00"],
        ["European ash", 40, 150, 2500, "1,240.00"],
    ]))

    save(wb, "numbers-as-text")


def currencies():
    wb = book(("in the cell", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "Price per m3"],
        ["European beech", 26, 150, 2500, "EUR 640"],
        ["European ash", 26, 150, 2500, "£ 760.00"],
        ["Silver birch", 26, 120, 2000, "CHF 700.-"],
        ["Black locust", 26, 100, 2000, 1150],
        ["Yellow-poplar", 26, 150, 2500, "US$ 700"],
        ["Yellow-poplar", 26, 150, 2500, "$ 700"],
    ]), ("by format", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "Price per m3"],
        ["European beech", 26, 150, 2500, 640],
        ["European ash", 26, 150, 2500, 880],
        ["Silver birch", 26, 120, 2000, 700],
    ]), ("two columns", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "USD/m3", "EUR/m3"],
        ["European beech", 26, 150, 2500, 704, 640],
        ["European ash", 26, 150, 2500, 968, 880],
        [],
        ["Rate EUR/USD", 1.1],
    ]))
    ws = wb["by format"]
    ws["E2"].number_format = '#,##0.00\\ "€"'
    ws["E3"].number_format = '[$CHF]\\ #,##0.00'
    save(wb, "currencies")


def formulas_without_values():
    wb = book(("Basis", [["Aufschlag", 1.07], ["Kurs", 0.92]]), ("Preise", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Grundpreis (intern)", "Preis €/m³"],
        ["Rotbuche", 26, 150, 2500, 600, "=E2*1.07"],
        ["Esche", 26, 150, 2500, 840, "=ROUND(E3*Basis!$B$1,-1)"],
        ["Birke", "=25+1", 120, "=2*1000", 655, "=E4"],
        ["Pappel", 40, 200, 2500, 400, "=E5*#REF!"],
        ["Robinie", 26, 100, 2000, 1100, "='[alt.xlsx]Preise'!F9"],
        ["Esche", 32, 150, 2500, "k. A.", "=E7*2"],
        ["Rotbuche", 32, 150, 2500, 650, "=F9"],
        ["Rotbuche", 40, 150, 2500, 690, "=F8"],
        ["Esche", 40, 150, 2500, 0, "=700/E10"],
    ]))
    save(wb, "formulas-without-values")


def formulas_by_office():
    wb = book(("Preise", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Aufschlag"],
        ["Rotbuche", 26, 150, 2500, "=600*$F$2", 1.07],
        ["Esche", 26, 150, 2500, "=ROUND(840*$F$2,-1)", None],
        ["Birke", 26, 120, 2000, "=1/0", None],
        ["Pappel", 40, 200, 2500, "=VLOOKUP(\"x\",A1:B2,2,FALSE)", None],
        ["Robinie", 26, 100, 2000, "=IF(1>2,5,\"a. A.\")", None],
    ]))
    save_by_office(wb, "formulas-by-office")


def thickness_notations():
    rows = [["Species", "Thickness", "Width in", "Length ft", "Price USD/bf"]]
    for t in ["4/4", '4/4"', "4-Quarter", '1"', '1" nom.', "1 inch", "25.4 mm", "26mm", '13/16"', '0.8125"', '1 1/8"', '1-1/8"', "5/4 S2S 1-1/16",
              "4/4 (26 mm)", "25 mm nom., 23 act.", "13/16 S2S", "1″", "1¼\"",
              datetime.date(2026, 4, 4), 4.4, "26", "26/27", "26-27 mm", "25 (26) mm", "32 mm +", "ab 40 mm", "50 (52)", "4/4?", "5/8/4"]:
        rows.append(["White ash", t, 6, 8, 2.5])
    wb = book(("Thickness", rows), ("fractions", [
        ["Species", "Thickness in", "Width in", "Length ft", "Price USD/bf"],
        ["White ash", 1.0625, 6, 8, 2.5],
        ["White ash", 1.25, 6, 8, 2.5],
        ["White ash", "5/4", 6, 8, 2.5],
        ["White ash", "4-Quarter S2S", 6, 8, 2.5],
        ["White ash", '1" S2S', 6, 8, 2.5],
        ["Birch / Alder", '1"-2"', 6, 8, 2.5],
    ]))
    for cell in ("B2", "B3"):
        wb["fractions"][cell].number_format = "# ??/??"
    ws = wb.active
    ws["B20"].number_format = "d/m"
    ws["B22"].number_format = "@"
    save(wb, "thickness-notations")


def discounts():
    wb = book(("Preise", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Listenpreis €/m³", "Rabatt"],
        ["Rotbuche", 26, 150, 2500, 650, "5 %"],
        ["Esche", 26, 150, 2500, 900, 0.05],
        ["Birke", 26, 120, 2000, 700, "5+2 %"],
        ["Robinie", 26, 100, 2000, 1150, "netto"],
        ["Pappel", 40, 200, 2500, 410, "B"],
        ["Rotbuche", 32, 150, 2500, 680, None],
    ]))
    save(wb, "discounts")


def surcharges():
    wb = book(("Hardwood", [
        ["Species", "Thickness", "Width in", "Length ft", "Price $/BF"],
        ["Hard maple", "4/4", 6, 8, 4.10],
        ["Surfacing S2S", None, None, None, "+0.20"],
        ["Planing S2S", None, None, None, 0.25],
        ["Straight-line rip", "4/4", None, None, 0.15],
        ["Cut to length", None, None, None, "5.00 per cut"],
        ["FSC surcharge 6 %"],
        ["Broken pack", None, None, None, "+10 %"],
        ["Pallet", None, None, None, 12.00],
        ["Fuel 4.5 %"],
        ["Cutting fee", None, None, None, 35],
        ["Please add freight"],
        ["8/4 and thicker on request"],
        ["Hard maple", "5/4", 6, 8, 4.55],
        ["Prices for straight edges +12 %"],
    ]))
    save(wb, "surcharges")


def stock_by_pack():
    wb = book(("Lager", [
        ["Paket-Nr.", "Holzart", "Stärke mm", "Breite mm", "Länge mm", "Stück", "Volumen m³", "Preis €/m³", "Bemerkung"],
        ["P-1041", "Rotbuche", 26, 150, 2500, 160, 1.56, 560, "nur ganzes Paket"],
        ["P-1042", "Rotbuche", 26, 120, 2000, 180, 1.123, 510, None],
        ["P-1043", "Esche", 32, 150, 3000, 120, 1.728, 790, "Restposten"],
        ["P-1044", "Birke", 26, 100, 2000, 200, 1.04, "a. A.", None],
        ["Summe", None, None, None, None, 660, 5.451, None, None],
    ]))
    save(wb, "stock-by-pack")


def grouped_woods():
    wb = book(("Bretter", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"],
        ["Birke / Pappel", 26, 120, 2000, 520],
        ["Rotbuche, Esche und Robinie", 26, 120, 2000, 760],
        ["Birke / Erle / Aspe", 26, 120, 2000, 540],
        ["Esche / Eiche", 26, 150, 2500, 980],
        ["Fraxinus excelsior / Esche", 26, 150, 2500, 900],
        ["Buche (Rotbuche)", 26, 150, 2500, 620],
    ]))
    save(wb, "grouped-woods")


def quotation():
    wb = book(("Angebot", [
        ["Holzhandel Beispielstadt (erfunden)"],
        ["Angebot Nr. 118 Rev. B vom 02.03.2026"],
        ["Sehr geehrte Damen und Herren, wir bieten freibleibend an:"],
        [],
        ["Pos.", "Holzart", "Güte", "Stärke mm", "Breite mm", "Länge mm", "Menge m³", "Preis €/m³", "Gesamtpreis €"],
        [1, "Rotbuche", "A", 26, 150, 2500, 2, 630, 1260],
        [2, "Esche", "A", 32, 150, 2500, 1.5, 890, 1335],
        ["2a", "Alternativ-Position: Birke", "A", 32, 120, 2000, 1.5, 700, 1050],
        [3, "Pappel", "B", 40, 200, 2500, 3, 400, 1200],
        [None, "Summe netto", None, None, None, None, None, None, 3795],
        [],
        ["Lieferzeit 3 Wochen, gültig bis 31.03.2026"],
        ["Mit freundlichen Grüßen"],
    ]))
    for cell in wb.active[8]:
        cell.font = Font(italic=True)
    save(wb, "quotation")


def table_object_and_names():
    wb = book(("Data", [
        ["Species", "Grade", "Thickness mm", "Width mm", "Length mm", "Price*", "Remarks"],
        ["European beech", "A", 26, 150, 2500, 640, "per m3 see note"],
        ["European ash", "A", 26, 150, 2500, 880, None],
        ["Silver birch", "B", 26, 120, 2000, 560, None],
    ]), ("Loose", [
        [None, "Sawn boards, EUR per m³"],
        [],
        [None, "Species", "Thickness mm", "Width mm", "Length mm", "Price"],
        [None, "Yellow-poplar", 27, 150, 2500, 690],
    ]))
    ws = wb["Data"]
    t = Table(displayName="Goods", ref="A1:G4")
    t.tableStyleInfo = TableStyleInfo(name="TableStyleMedium2", showRowStripes=True)
    ws.add_table(t)
    ws["A7"] = "* all prices EUR per m³ net, ex works"
    ws.freeze_panes = "A2"
    ws.print_area = "A1:F4"
    ws.column_dimensions.group("B", "B", hidden=True)
    ws.column_dimensions["F"].width = 1
    ws["F2"].comment = Comment("only until Easter, min. 2 packs", "sales")
    wb["Loose"].add_data_validation(DataValidation(type="list", formula1='"Yellow-poplar,White ash"'))
    for name, ref in (("OldPrices", "Data!#REF!"), ("Elsewhere", "'[gone.xlsx]Preise'!$A$1")):
        dn = DefinedName(name, attr_text=ref)
        try:
            wb.defined_names.append(dn)
        except AttributeError:
            wb.defined_names[name] = dn
    save(wb, "table-object-and-names")


def blank_rows_and_columns():
    wb = book(("Bretter", []))
    ws = wb.active
    ws["C2"] = "Preisliste"
    head = {3: "Holzart", 5: "Stärke mm", 6: "Breite mm", 8: "Länge mm", 11: "Preis €/m³"}
    for c, v in head.items():
        ws.cell(row=6, column=c, value=v)
    for row, values in ((8, ("Rotbuche", 26, 150, 2500, 620)), (9, ("Esche", 26, 150, 2500, 870)), (12, ("Birke", 32, 120, 2000, 650)), (20, ("Robinie", 26, 100, 2000, 1150))):
        for c, v in zip(head, values):
            ws.cell(row=row, column=c, value=v)
    ws["C15"] = "   "
    ws["L9"] = "\u00a0"
    save(wb, "blank-rows-and-columns")


def colours_and_strikes():
    wb = book(("Preise", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "neu"],
        ["Rotbuche", 26, 150, 2500, 640, "✓"],
        ["Esche", 26, 150, 2500, 880, None],
        ["Birke", 26, 120, 2000, 690, "✓"],
        ["Robinie", 26, 100, 2000, 1150, None],
        ["Pappel", 40, 200, 2500, 410, None],
    ]))
    ws = wb.active
    for cell in ws[3]:
        cell.font = Font(strike=True)  # the whole line
    ws["E4"].font = Font(strike=True)  # the price alone
    ws["E5"].fill = PatternFill("solid", fgColor="FF0000")
    for cell in ws[6]:
        cell.fill = PatternFill("solid", fgColor="AAAAAA")
    ws["E6"].comment = Comment("min. 2 Pakete", "Verkauf")
    save(wb, "colours-and-strikes")


def protected_sheet():
    wb = book(("Bretter", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"],
        ["Rotbuche", 26, 150, 2500, 640],
        ["Esche", 26, 150, 2500, 880],
    ]))
    wb.active.protection.sheet = True
    wb.active.protection.password = "geheim"
    wb.security.lockStructure = True
    save(wb, "protected-sheet")


def moisture_states():
    wb = book(("Boards", [
        ["Species", "Thickness mm", "Width mm", "Length mm", "Moisture", "Price EUR/m3"],
        ["European beech", 26, 150, 2500, "KD 8-10 %", 640],
        ["European beech", 26, 150, 2500, "AD", 520],
        ["European beech", 26, 150, 2500, "green", 430],
        ["European ash", 26, 150, 2500, "lufttrocken", 700],
        ["European ash", 26, 150, 2500, "8 ± 2 %", 880],
        ["European ash", 26, 150, 2500, 12, 860],
        ["Silver birch", 26, 120, 2000, "KT", 690],
        ["Silver birch", 26, 120, 2000, None, 600],
    ]))
    save(wb, "moisture-states")


def units_in_a_note():
    wb = book(("Prices", [
        ["Species", "Thickness", "Width", "Length", "Price", "Stock"],
        ["European beech", 26, 150, 2500, 640, 4],
        ["European ash", 32, 150, 2500, 890, 2],
        [],
        ["All dimensions in mm. All prices in EUR per m³, excl. VAT. Stock in m³."],
    ]))
    save_by_office(wb, "units-in-a-note")


def words_of_five_languages():
    wb = book(("de", [
        ["Best.-Nr.", "Baumart", "Sortierung", "Einschnittstärke (mm)", "Br. mm", "Lg. m", "HF", "VK netto €/m³", "VE m³", "Vorrat m³", "LZ (Wochen)", "PEFC"],
        ["B-1", "Rotbuche", "A", 26, 150, 2.5, "8-10 %", 640, 1.5, 12, 2, "x"],
    ]), ("en", [
        ["SKU", "Timber", "NHLA", "Thk in", "W in", "L ft", "MC", "Net $/MBF", "MOQ bf", "Bdl bf", "On hand bf", "Lead time days", "Certified"],
        ["E-1", "White ash", "FAS", 1, 6, 8, "6-8 %", 2350, 200, 500, 4000, 10, "yes"],
    ]), ("fr", [
        ["Réf.", "Bois", "Classement", "E mm", "Larg. mm", "Long. m", "Humidité", "Tarif HT €/m³", "Qté mini m³", "Colis m³", "Stock m³", "Délai (semaines)", "Certifié"],
        ["F-1", "Hêtre", "A", 27, 150, 2.5, "10 %", 660, 0.5, 2, 8, 3, "oui"],
    ]), ("it", [
        ["Cod. art.", "Specie", "Classe", "Sp. mm", "Largh. mm", "Lungh. m", "Umidità", "Listino €/mc", "Q.tà min mc", "Pacco mc", "Disponibile mc", "Tempi di consegna (giorni)", "Certificato"],
        ["I-1", "Faggio", "A", 25, 150, 2.5, "10 %", 650, 1, 2.5, 6, 15, "sì"],
    ]), ("es", [
        ["Ref.", "Madera", "Clase", "Grosor mm", "Anchura mm", "Longitud m", "Humedad", "Precio unitario €/m³", "Pedido mínimo m³", "Paquete m³", "Existencias m³", "Plazo (días)", "Certificado"],
        ["S-1", "Haya", "A", 26, 150, 2.5, "10 %", 645, 1, 2, 5, 7, "no"],
    ]))
    save(wb, "words-of-five-languages")


def unit_row():
    wb = book(("Bretter", [
        ["Holzart", "Güte", "Stärke", "Breite", "Länge", "Preis", "Bestand"],
        [None, None, "[mm]", "[mm]", "[m]", "[€/m³]", "[m³]"],
        ["Rotbuche", "A", 26, 150, 2.5, 640, 3],
        ["Esche", "A", 32, 150, 3, 890, None],
    ]))
    save_by_office(wb, "unit-row")


def moisture_across():
    wb = book(("Preise", [
        ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "KD €/m³", "AD €/m³"],
        ["Rotbuche", 26, 150, 2500, 640, 520],
        ["Esche", 26, 150, 2500, 890, "a. A."],
        ["Pappel", 40, 200, 2500, None, 380],
    ]))
    save(wb, "moisture-across")


def matrix_numbers_across():
    wb = book(("Preise", [
        ["Schnittholz besäumt, Preise in €/m³"],
        ["Holzart", "Breite mm", "Länge mm", "Stärke mm", None, None],
        [None, None, None, 26, 32, 40],
        ["Rotbuche", 150, 2500, 620, 650, 690],
        ["Esche", 150, 2500, 860, 890, None],
    ]))
    ws = wb.active
    for area in ("A2:A3", "B2:B3", "C2:C3", "D2:F2"):
        ws.merge_cells(area)
    save(wb, "matrix-numbers-across")


def gross_prices():
    head = ["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"]
    wb = book(("title", [
        ["Alle Preise inkl. 19 % MwSt."], head, ["Rotbuche", 26, 150, 2500, 761.6],
    ]), ("header", [
        head[:4] + ["Preis €/m³ inkl. MwSt."], ["Rotbuche", 26, 150, 2500, 761.6],
    ]), ("both", [
        head[:4] + ["Preis netto €/m³", "Preis brutto €/m³"], ["Rotbuche", 26, 150, 2500, 640, 761.6],
    ]), ("net", [
        ["Preise zzgl. 19 % MwSt."], head, ["Rotbuche", 26, 150, 2500, 640],
    ]))
    save(wb, "gross-prices")


def lengths_across():
    wb = book(("Preise", [
        ["Preise in €/m³"],
        ["Holzart", "Stärke mm", "Breite mm", "2 m", "3 m", "4 m"],
        ["Rotbuche", 26, 150, 560, 620, 680],
        ["Esche", 26, 150, 780, 860, 940],
    ]))
    save(wb, "lengths-across")


def old_formats():
    wb = book(("Bretter", [["Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"], ["Rotbuche", 26, 150, 2500, 640], ["Esche", 26, 150, 2500, 880]]))
    save_by_office(wb, "old-excel", "xls")
    save_by_office(wb, "open-document", "ods")
    save_by_office(wb, "printed", "pdf:calc_pdf_Export")


def texts():
    def write(name, text, encoding):
        with open(os.path.join(OUT, name + ".csv"), "wb") as f:
            f.write(text.encode(encoding))
    write("semicolon-utf8-mark", "\r\n".join([
        "Holzhandel Erfunden;;;;;", "Holzart;Güte;Stärke mm;Breite mm;Länge m;Preis €/m³",
        "Rotbuche;A;26;150;2,5;640,00", '"Esche, weiß";A;26;150;2,5;"1.050,00"', "Birke;B;32;120;2;690,50", ";;;;;", "Preise freibleibend;;;;;", ""]), "utf-8-sig")
    write("comma-utf8", "\n".join([
        "Species,Grade,Thickness,Width in,Length ft,Price USD/MBF,Min bf", 'Hard maple,FAS,4/4,6,8,"4,100",100', '"Maple, hard",No. 1 Common,"1 1/16""",4,6,2700,', 'Red oak,FAS,8/4,6,10,"3,890.50",',
        'White ash,FAS,4/4,6,8,,', '"A note', 'over two lines",,,,,,', "=1+1,FAS,4/4,6,8,3000,", ""]), "utf-8")
    write("tab-windows-1252", "\r\n".join([
        "Essence\tChoix\tÉpaisseur mm\tLargeur mm\tLongueur m\tPrix €/m³", "Hêtre\tA\t27\t150\t2,5\t640", "Frêne\tA\t27\t150\t2,5\t1 190,50", "Érable à sucre\tA\t27\t150\t2,5\t1 450", ""]), "cp1252")
    write("semicolon-windows-1252-broken", "\r\n".join([
        "Holzart;Stärke mm;Breite mm;Länge mm;Preis €/m³", "Weißesche;26;150;2500;980", "WeiÃŸesche;26;150;2500;980", "Wei?esche;26;150;2500;980", "Rotbuche;26;150;2500", "Birke;26;120;2000;690;neu;x", ""]), "cp1252")


def bare_export():
    """A workbook as a warehouse program writes it: strings inline, no styles, no cell names, a link to another drive."""
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    main = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
    rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"

    def cell(v):
        if isinstance(v, str) and v.startswith("<"):
            return v
        return "<c/>" if v is None else f'<c t="inlineStr"><is><t>{v}</t></is></c>' if isinstance(v, str) else f"<c><v>{v}</v></c>"
    rows = [
        ["SPECIES", "QUALITY", "THK_MM", "WIDTH_MM", "LENGTH_MM", "PRICE_EUR_M3", "STOCK_M3"],
        ["EUROPEAN BEECH", "A", 26, 150, 2500, 640, 4.5],
        ["EUROPEAN ASH", "A", 32, 150, 2500, "<c><f>[1]Preise!$F$9</f><v>880</v></c>", 0],
        ["SILVER BIRCH", None, 26, 120, 2000, '<c t="e"><v>#NULL!</v></c>', 1.25],
        ["BLACK LOCUST", "B", 26, 100, 2000, "<c><v>1.15E3</v></c>", None],
    ]
    data = "".join("<row>" + "".join(cell(v) for v in row) + "</row>" for row in rows)
    parts = {
        "[Content_Types].xml": head + '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
            '<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
            '<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"/></Types>',
        "_rels/.rels": head + f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{rel}officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": head + f'<workbook {main}><sheets><sheet name="EXPORT" sheetId="1" r:id="rId1"/></sheets><externalReferences><externalReference r:id="rId2"/></externalReferences></workbook>',
        "xl/_rels/workbook.xml.rels": head + f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{rel}worksheet" Target="worksheets/sheet1.xml"/>'
            f'<Relationship Id="rId2" Type="{rel}externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": head + f"<worksheet {main}><sheetData>{data}</sheetData></worksheet>",
        "xl/externalLinks/externalLink1.xml": head + f'<externalLink {main}><externalBook r:id="rId1"><sheetNames><sheetName val="Preise"/></sheetNames></externalBook></externalLink>',
        "xl/externalLinks/_rels/externalLink1.xml.rels": head + f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{rel}externalLinkPath" Target="file:///Z:/gone/prices.xlsx" TargetMode="External"/></Relationships>',
    }
    with zipfile.ZipFile(os.path.join(OUT, "bare-export.xlsx"), "w", zipfile.ZIP_DEFLATED) as z:
        for name, text in parts.items():
            z.writestr(name, text)


if __name__ == "__main__":
    os.makedirs(OUT, exist_ok=True)
    for build in (two_row_header, three_row_header_matrix, one_sheet_per_wood, merged_wood_cells, section_titles, matrix_thickness_across, matrix_wood_across,
                  price_breaks_columns, price_breaks_incremental, tables_side_by_side, repeated_headers, french, italian, mixed_languages, numbers_as_text,
                  currencies, formulas_without_values, formulas_by_office, thickness_notations, discounts, surcharges, stock_by_pack, grouped_woods, quotation,
                  table_object_and_names, blank_rows_and_columns, colours_and_strikes, protected_sheet, moisture_states, units_in_a_note, words_of_five_languages,
                  unit_row, moisture_across, matrix_numbers_across, gross_prices, lengths_across, old_formats, texts,
                  bare_export):
        build()
