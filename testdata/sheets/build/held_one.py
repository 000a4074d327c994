#!/usr/bin/env python3
"""Builds the sheets held/a-*. Run: /usr/bin/python3 testdata/sheets/build/held_one.py [NAME…]. All names and prices are invented.

Without names it builds all; those marked office need LibreOffice, which is called once for each kind of file.
"""
import datetime as dt, os, shutil, subprocess, sys, tempfile
from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
import xlsxwriter

OUT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "held")
D = dt.date
_ = None
SHEETS, OFFICE = {}, []


def sheet(f):
    SHEETS[f.__name__.replace("_", "-")] = f
    return f


def fill(ws, rows, top=1, left=1):
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if v is not None:
                ws.cell(row=top + r, column=left + c, value=v)


def book(*sheets):
    wb = Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        fill(wb.create_sheet(name), rows)
    return wb


def save(wb, name):
    wb.save(os.path.join(OUT, name + ".xlsx"))


def office(wb, name, kind):
    """Kept for the one call of LibreOffice at the end."""
    OFFICE.append((wb, name, kind))


def text(name, lines, encoding="utf-8", end="\r\n"):
    with open(os.path.join(OUT, name + ".csv"), "wb") as f:
        f.write((end.join(lines) + end).encode(encoding))


def bold(ws, *rows):
    for r in rows:
        for c in ws[r]:
            c.font = Font(bold=True)


def form(ws, column, rows, code):
    for r in rows:
        ws[f"{column}{r}"].number_format = code


@sheet
def a_uk_importer():
    wb = book(("Nov 26", [
        ["HARTLEY WYKE TIMBER LTD — hardwood landed stock, November 2026"],
        ["Prices per cubic foot ex yard, Immingham. VAT at 20% to be added. Offers valid until 31st January 2027."],
        [],
        ["Timber", "Spec", "Thick", "Width", "Length", "£", _, "Stock m³", "Due in"],
        ["EUROPEAN HARDWOODS, kiln dried"],
        ["Beech, steamed", "Prime square edged", "26mm", "150+", "2.4-3.0m", 34.5, _, 11.4, "ex stock"],
        [_, _, "38mm", "150+", "2.4-3.0m", 36.75, _, 6.2, "ex stock"],
        ["White ash", "Prime square edged", "32mm", "130+", "2.1m+", 48.2, _, 4.85, "ex stock"],
        ["Birch A/B", "square edged", "25mm", "100+", "2.0m+", 39.9, _, 0, D(2027, 1, 18)],
        ["NORTH AMERICAN HARDWOODS, kiln dried"],
        ["White ash", "FAS", '1"', '6"+', "8'+", 52, _, 9.1, "ex stock"],
        ["Hard maple, sap white", "Select & Better", '1¼"', '5"+', "8'+", 71.4, _, 2.3, D(2027, 2, 8)],
        ["Tulipwood", "FAS", '2"', '6"+', "8'+", 33.6, _, 14.75, "ex stock"],
        ["Maple", "No. 1 Common", '1"', '4"+', "6'+", 38, _, 3.1, "ex stock"],
        ["Red oak", "FAS", '1½"', '6"+', "8'+", "SOLD", _, 0, _],
        [],
        ["Broken packs £3.50 per cu ft extra. Kerbside delivery from £65. E&OE."],
    ]))
    ws = wb.active
    for area in ("A1:I1", "A2:I2", "A5:I5", "A10:I10"):
        ws.merge_cells(area)
    bold(ws, 1, 4, 5, 10)
    form(ws, "F", range(6, 15), '#,##0.00')
    form(ws, "I", (9, 12), "dd-mmm-yy")
    save(wb, "a-uk-importer")


@sheet
def a_us_mill():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "a-us-mill.xlsx"))
    ws, b, n = wb.add_worksheet("KD list"), wb.add_format({"bold": True}), wb.add_format({"num_format": "#,##0"})
    rows = [
        ["TUG FORK HARDWOODS, INC. – Williamson Hollow, WV"],
        ["Kiln dried price list, effective 11/16/2026. US Dollars per MBF, FOB mill, net tally."],
        ["Rough, 6-8% MC. Random widths 4\" and wider, lengths 8' to 16'."],
        [],
        [_, "4/4", "5/4", "8/4"],
        ["WHITE ASH"],
        ["FAS/1F", 1420, 1480, 1690],
        ["No. 1 Common", 980, 1035, "n/a"],
        ["HARD MAPLE, UNSELECTED FOR COLOR"],
        ["Sel & Btr", 1895, 1960, 2180],
        ["No. 1 Common", 1210, 1265, _],
        ["POPLAR"],
        ["FAS/1F", 875, 910, 1005],
        ["CHERRY"],
        ["FAS/1F", 1760, 1820, "call"],
        [],
        ["S2S to 15/16 add $45/M.   Double end trim add $12/M.   Mixed truckloads welcome."],
        ["Prices subject to change without notice"],
    ]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if v is not None:
                ws.write(r, c, v, n if isinstance(v, int) else b if c == 0 and len(row) == 1 else None)
    ws.set_column(0, 0, 34)
    ws.freeze_panes(5, 1)
    wb.close()


@sheet
def a_us_cuttings():
    text("a-us-cuttings", [
        "Cascade Notch Millwork LLC,,,,",
        "Coos Landing OR - rippings and small lots - all prices in US dollars (USD),,,,",
        "Item,Description,UOM,Price,Ships",
        'RA544,"Red Alder 5/4 x 4"" x 8\' Superior, KD, rough",CLF,215.00,in stock',
        'WRC16,"Western Red Cedar 1"" x 6"" x 12\' clear VG, rough",LF,3.45,in stock',
        'SS214,"Sitka Spruce 2"" x 6"" x 14\' clear VG, rough KD",MBF,"4,850.00",12/14/2026',
        'HM12,"Hard Maple ripping 1"" x 2"" x 96""",EA,4.15,in stock',
        'BW44,"Basswood Sel&Btr 4/4 x 6"" x 8\'",SQ FT,2.35,in stock',
        'BC28,"Black Cottonwood 2"" x 8"" x 16\' green",MBF,540.00,01/25/2027',
        'WA44,"White Ash 8/4 x 5"" x 10\' FAS KD",BF,4.60,in stock',
        'AS10,"Aspen 1"" x 4"" x 8\' - bundle of 50 pcs",BDL,98.00,in stock',
        'YB64,"Yellow Birch 6/4 x 6"" x 8\' Sel&Btr KD, per sq ft per inch of thickness",SQ FT/IN,3.10,in stock',
        'PW16,"Paulownia 1"" x 6"" x 8\' S2S, shop pack",PK,210.00,in stock',
        'HK44,"Hickory 4/4 x 6"" x 8\'",BF,SOLD OUT,',
        'FRT,"Freight to Port of Tacoma, dray incl.",LOAD,640.00,',
    ])


@sheet
def a_in_plantation():
    wb = book(("Rate list", [
        ["TARAI GREENWOOD AGRO PRODUCTS"],
        ["Village Rampur Kheri, Distt. U.S. Nagar  |  GSTIN 00ABCDE0000F0Z0"],
        ["RATE LIST w.e.f. 15.11.2026 – Rates in Rs. per CFT, inclusive of GST @ 18%, ex godown"],
        [],
        ["S. No.", "Particulars of timber", "Size", "Length", "Rate", "Remarks"],
        [1, "Poplar (Populus deltoides) sawn, KD 10%", "32 x 150 mm", "8'", 708, "ready stock"],
        [2, "Poplar (Populus deltoides) sawn, AD", "40 x 200 mm", "10'", 590, "ready stock"],
        [3, "Paulownia tomentosa, KD 10%", "25 x 120 mm", "6'", 1180, "from 15-Jan-2027"],
        [4, "Steam beech imported (European)", "38 x 150 mm", "10'", 3422, "ready stock"],
        [5, "Ash wood imported (US White Ash FAS)", '1" x 6"', "8'", 4248, "ready stock"],
        [6, "Kapok plank for core", '2" x 8"', "7'", 649, "ready stock"],
        [7, "Balsa, light", '2" x 4"', "4'", 5310, "to order, 6 weeks"],
        [8, "Maple imported", "25 x 100 mm", "8'", 3540, "ready stock"],
        [9, "Mango plank", '1" x 6"', "6'", "stock over", _],
        [],
        ["Loading Rs. 12 per cft extra. Transit insurance by buyer. Subject to Kashipur jurisdiction."],
    ]))
    ws = wb.active
    for area in ("A1:F1", "A2:F2", "A3:F3"):
        ws.merge_cells(area)
        ws[area[:2]].alignment = Alignment(horizontal="center")
    bold(ws, 1, 3, 5)
    form(ws, "E", range(6, 15), "#,##0.00")
    save(wb, "a-in-plantation")


@sheet
def a_de_saegewerk():
    wb = book(("Tabelle1", [
        ["Sägewerk Hollergrund, Inh. P. Weidach, Im Seegrund 4, 00000 Musterau"],
        ["Preisliste Herbst/Winter 2026 – alle Preise in € inkl. 19 % MwSt. ab Werk"],
        [],
        ["Art.Nr.", "Artikel", "Preis", "je", "Bemerkung"],
        ["Heimische Laubhölzer"],
        [2001, "Buche A 32×150×3300 KD 8 %", 4.95, "lfm", _],
        [2004, "Rotbuche A/B gedämpft 40x120x2500", 478, "100 lfm", "ab 300 lfm auf Anfrage"],
        [2010, "Esche weiß 27 x 140 x 3000 KD 8-10 %", 1130, "m³", _],
        [2011, "Esche weiß 50/160/3000", 34.9, "Stück", _],
        [2020, "Birke A/B 35 x 130 x 2000", 31, "m²", "verfügbar ab 15.02.2027"],
        [2026, "Robinie 26x100x2000 frisch", 1050, "fm", _],
        [2030, "Pappel 45×180×4000 AD", 420, "m³", _],
        [2033, "Eiche 30x150x3000 rustikal", "ausverkauft", _, _],
        ["Nadelholz"],
        [3001, "Fichte Dachlatten 30×50×4000", 0.98, "lfm", _],
        ["Dienstleistung"],
        [9001, "Hobeln 2-seitig", 45, "m³", _],
        [9002, "Besäumen", 28, "m³", _],
        [],
        ["Anlieferung im Umkreis 50 km pauschal 80 €. Mengenrabatt nach Absprache."],
    ]))
    ws = wb.active
    bold(ws, 1, 4, 5, 14, 16)
    form(ws, "C", range(6, 19), '#,##0.00')
    ws.column_dimensions["B"].width = 42
    office(wb, "a-de-saegewerk", "xls")


@sheet
def a_ch_handel():
    wb = book(("Lagerliste", [
        ["Holzkontor Seewis & Tanner AG, 0000 Hinterau", _, _, _, _, _, _, _],
        ["Lagerliste Schnittholz Dezember 2026", _, _, _, _, _, _, _],
        ["Verbindlich sind die Preise in EUR; CHF nur zur Orientierung (Kurs 0.94). Netto, exkl. MWST."],
        [],
        ["Holzart", "Qualität", "Dicke", "Breite", "Länge", "CHF / m³", "EUR / m³", "Lager m³", "Zertifikat"],
        ["Buche gedämpft, CH/DE", "A", "26", "150", "3'000", "1'034.00", "1'100.00", "12.5", "FSC 100% XXX-COC-000417"],
        ["Buche roh", "A/B", "32", "150", "3'000", "921.20", "980.00", "8.0", "FSC Mix 70% XXX-COC-000417"],
        ["Esche weiss", "A", "40", "160", "2'500", "1'297.20", "1'380.00", "3.2", "–"],
        ["Esche, braunkernig", "B", "40", "160", "2'500", "925.90", "985.00", "6.75", "FSC Controlled Wood"],
        ["Robinie", "A", "26", "120", "2'000", "1'475.80", "1'570.00", "1.9", "PEFC 100% abgelaufen 30.06.2026"],
        ["Bergahorn", "A", "40", "140", "2'500", "1'692.00", "1'800.00", "0.8", "–"],
        ["Tulipwood (US)", "FAS", "25.4", "180", "3'000", "1'081.00", "1'150.00", "ab 20.01.2027", "FSC Mix XXX-COC-000417"],
        ["Total", _, _, _, _, _, _, "33.15", _],
        [],
        ["Zuschläge: Hobeln 85.–/m³, Express 120.–. Unsere Zertifikate gelten bis 31.12.2028, sofern nicht anders vermerkt."],
    ]))
    ws = wb.active
    ws.merge_cells("A3:I3")
    bold(ws, 1, 2, 5)
    for r in range(6, 13):
        for c in "CDEFGH":
            ws[f"{c}{r}"].alignment = Alignment(horizontal="right")
    save(wb, "a-ch-handel")

@sheet
def a_de_importeur():
    wb = book(("Preise", [
        ["Nordkai Laubholzimport GmbH"],
        ["Abnehmerpreisliste, netto zzgl. MwSt., frei LKW Bremen. Alte und neue Preise zum Vergleich, gültig ab 1.12.2026"],
        [],
        ["Stärke", "Breite", "Länge", "Preis €/m³", _, "Verfügbar ab", "Bestand m³"],
        [_, _, _, 2025, 2026],
        ["ABACHI FAS, KD 10-12 %"],
        [26, "120+", "3,0", 1080, 1145, "sofort", 14.2],
        [52, "120+", "3,0", 1110, "1.190", D(2027, 1, 11), _],
        ["PAPPEL KANAD., frisch"],
        [32, 180, "4,0", 395, 410, "sofort", 40],
        ["HARD MAPLE Select & Better, KD 6-8 %"],
        [26, 140, "2,5", 1790, 1865, D(2027, 2, 22), _],
        [52, 140, "2,5", 1880, "a. A.", _, _],
        ["ESCHE AMERIK. FAS, KD 8 %"],
        [33, 160, "3,0", 1290, "1.310", "sofort", 5.5],
        [52, 160, "3,0", 1340, 1390, "Mitte Januar", _],
        ["FUMA (Fromager), KD 12 %"],
        [40, 200, "2,5", 640, 660, "sofort", 7.75],
        [],
        ["Seefrachtzuschlag 2026: 18,- €/m³ ist in den neuen Preisen enthalten."],
    ]))
    ws = wb.active
    for area in ("A2:G2", "D4:E4", "A4:A5", "B4:B5", "C4:C5", "F4:F5", "G4:G5"):
        ws.merge_cells(area)
    for r in (6, 9, 11, 14, 17):
        ws.merge_cells(f"A{r}:G{r}")
        ws[f"A{r}"].fill = PatternFill("solid", fgColor="DDEBF7")
    bold(ws, 1, 4, 5, 6, 9, 11, 14, 17)
    fill(ws, [["EK 2026"], [_], [_], [905], [930], [_], [322], [_], [1490], [_], [_], [1040], [1105], [_], [515]], 4, 8)
    ws.column_dimensions["H"].hidden = True
    form(ws, "F", (8, 12), "DD.MM.YYYY")
    for c in "DE":
        form(ws, c, (7, 8, 10, 12, 13, 15, 16, 18), '#,##0')
    save(wb, "a-de-importeur")


@sheet
def a_fr_scierie():
    text("a-fr-scierie", [
        "SCIERIE DE LA VIEILLE OISE;;;;;;;;",
        "Tarif sciages feuillus de pays - hiver 2026/2027;;;;;;;;",
        "Prix départ scierie, hors taxes (TVA 20 % en sus). Tarif valable jusqu'au 31/03/2027;;;;;;;;",
        ";;;;;;;;",
        "Essence;Choix;Ép.;Larg.;Long.;P.U. HT €;Unité;Dispo;Certificat",
        "Peuplier;1er choix;27;150;2500;9,72;m²;immédiate;PEFC 100 % n° XXX-PEFC-000233",
        "Peuplier;2e choix;41;200;2500;12,30;m²;immédiate;PEFC 100 % n° XXX-PEFC-000233",
        "Hêtre étuvé;A;27;120;2000;2,14;ml;immédiate;PEFC 100 % n° XXX-PEFC-000233",
        "Hêtre blanc;A/B;32;150;3\u00a0000;655,00;m³;15/01/2027;",
        "Frêne blanc;A;40;150;2500;1\u00a0090,00;m³;immédiate;",
        "Robinier (faux acacia);A;27;100;2000;1\u00a0120,00;m³;01/03/2027;",
        "Bouleau;A/B;25;50;2000;890,00;1000 ml;immédiate;",
        "Chêne;QF2;27;150;2500;épuisé;m³;;",
        "Forfait livraison;;;;;90,00;u;;",
        ";;;;;;;;",
        "Rabotage 2 faces : +1,10 €/m². Minimum de facturation 150 € HT.;;;;;;;;",
    ], "cp1252")


@sheet
def a_fr_negoce():
    wb = book(("Tarif A", [
        [_, "Négoce Bois du Val Perdu SARL"],
        [_, "Prix en € HT le m³, départ dépôt. Longueurs 2,00 à 3,00 m. Séché 8-10 %."],
        [_, "Votre remise client : 5 % à déduire de tous les prix ci-dessous. Offre valable jusqu'au 15/01/2027."],
        [],
        [_, "FRÊNE, origine France, choix A"],
        [_, "larg. \\ ép. (mm)", 27, 34, 41],
        [_, 100, 1080, 1110, 1150],
        [_, 120, 1120, 1160, 1200],
        [_, 150, 1190, 1230, "—"],
        [],
        [_, "ÉRABLE DUR DU CANADA, Select & Better"],
        [_, "larg. \\ ép. (mm)", 27, 34],
        [_, 120, 2180, 2240],
        [_, 150, 2260, "nous consulter"],
        [],
        [_, "Port : 75 € par livraison, franco au-delà de 3 m³"],
    ]))
    ws = wb.active
    thin = Side(style="thin")
    for r in list(range(6, 10)) + list(range(12, 15)):
        for c in "BCDE"[:4 if r < 10 else 3]:
            ws[f"{c}{r}"].border = Border(top=thin, bottom=thin, left=thin, right=thin)
    ws.merge_cells("B5:E5")
    ws.merge_cells("B11:D11")
    ws.merge_cells("B3:G3")
    bold(ws, 1, 5, 11)
    form(ws, "C", range(7, 15), '#,##0" €"')
    save(wb, "a-fr-negoce")


@sheet
def a_pl_tartak():
    wb = book(("Cennik", [
        ["TARTAK PODLESIE DOLNE – cennik tarcicy liściastej obrzynanej"],
        ["Ceny brutto z VAT 23% w zł/m³, loco tartak. Suszenie komorowe do wilgotności 8-10%."],
        [],
        ["Lp.", "Gatunek", "Klasa", "Grubość", "Szerokość", "Cena przy długości", _, _],
        [_, _, _, _, _, "2,0 m", "2,5 m", "3,0 m"],
        [1, "Buk parzony", "I", 32, 120, 2767.5, 2829, 2952],
        [2, "Buk nieparzony", "I/II", 40, 140, 2460, 2521.5, _],
        [3, "Jesion", "I", 40, 140, 4182, 4305, 4489.5],
        [4, "Brzoza", "I", 26, 100, 2152.5, 2238.6, "–"],
        [5, "Robinia (akacja)", "I/II", 27, 90, 4920, "na zapytanie", "na zapytanie"],
        [6, "Dąb", "I", 32, 120, "brak", "brak", "brak"],
        [],
        ["Wszystkie wyroby z certyfikatem FSC 100%, nr XXX-COC-000871, ważny do 14.05.2029."],
        ["Heblowanie dwustronne +221,40 zł/m³ brutto. Transport 6,50 zł/km."],
    ]))
    ws = wb.active
    for area in ("A1:H1", "A2:H2", "F4:H4", "A4:A5", "B4:B5", "C4:C5", "D4:D5", "E4:E5"):
        ws.merge_cells(area)
    bold(ws, 1, 4, 5)
    for c in "FGH":
        form(ws, c, range(6, 12), '#,##0.00')
    save(wb, "a-pl-tartak")


@sheet
def a_hu_fatelep():
    wb = book(("Árlista", [
        ["Kisréti Fatelep Bt. – árlista 2026. december"],
        ["Áraink bruttó árak, 27% ÁFA-t tartalmaznak. Telephelyi átvétel."],
        ["AKÁC szélezett, légszáraz", _, _, _, _, "MŰSZÁRÍTOTT lombos fűrészáru, 8-10 %"],
        ["vastagság", "szélesség", "hossz (m)", "Ft/fm", _, "Fafaj", "Méret", "Ár", "Egység", "Megjegyzés"],
        [26, 100, "3,0", 1270, _, "Bükk gőzölt I. o.", "32x150x2500", 3429, "Ft/db", _],
        [32, 120, "3,0", 1850, _, "Bükk natúr II. o.", "40x120x3000", 2350, "Ft/db", "akció"],
        [50, 150, "4,0", 3480, _, "Nyár, kanadai", "50x200x4000", 152400, "Ft/m³", "2027.01.20-tól"],
        [60, 180, "4,0", "elfogyott", _, "Kőris I. o.", "26x140x2500", 9525, "Ft/m²", _],
        [_, _, _, _, _, "Nyír", "40x100x2000", 254000, "Ft/m³", _],
        [_, _, _, _, _, "Tölgy", "32x150x2500", "érdeklődjön", "Ft/m³", _],
        [],
        ["Gyalulás 420 Ft/m² felárral. Szállítás megegyezés szerint."],
    ]))
    ws = wb.active
    for area in ("A1:J1", "A2:J2", "A3:D3", "F3:J3"):
        ws.merge_cells(area)
    bold(ws, 1, 3, 4)
    form(ws, "D", range(5, 9), '#,##0')
    form(ws, "H", range(5, 11), '#,##0')
    save(wb, "a-hu-fatelep")


@sheet
def a_fi_saha():
    wb = book(("Hinnasto 12-2026", [
        ["Korpijoen Erikoissaha Ky"],
        ["Hinnat alv 0 %, noudettuna sahalta. Toimitus kokonaisina paketteina."],
        [],
        ["Tuote", "Laatu", "Koko", "Pituus m", "Kosteus", "Paketti m³", "Hinta €/paketti", "Saatavilla"],
        ["Koivu, särmätty", "A", "32 x 125", 3.0, "8 %", 1.44, 936, "heti"],
        ["Koivu, särmätty", "B", "25 x 100", 2.4, "8 %", 1.152, 552.96, "heti"],
        ["Lämpökoivu", "A", "26 x 115", 3.0, "5 %", 0.897, 1300.65, D(2027, 1, 25)],
        ["Haapa, särmätty", "A", "32 x 120", 2.7, "10 %", 1.3, 780, "heti"],
        ["Saarni (Viro)", "A", "40 x 150", 2.5, "8 %", 1.05, 1218, "heti"],
        ["Pyökki höyrytetty (Saksa)", "A", "50 x 150", 3.0, "8 %", 1.35, 1174.5, D(2027, 2, 15)],
        ["Tervaleppä", "A", "40 x 125", 2.4, "10 %", 1.2, "loppu", _],
        [],
        ["Valmiit suikaleet suksisydämiin, höylätty neljältä sivulta"],
        ["Tuote", _, "Koko", "Pituus m", "Kosteus", _, "Hinta €/100 kpl", "Saatavilla"],
        ["Koivusuikale", _, "10 x 14", 1.85, "8 %", _, 92, "heti"],
        ["Koivusuikale", _, "12 x 16", 2.0, "8 %", _, 125, "heti"],
        [],
        ["Rahti Etelä-Suomeen 38 €/m³. Muut mitat tilauksesta."],
    ]))
    ws = wb.active
    bold(ws, 1, 4, 13, 14)
    form(ws, "D", (5, 6, 7, 8, 9, 10, 11, 15, 16), "0.0#")
    form(ws, "G", range(5, 17), '#,##0.00')
    form(ws, "H", (7, 10), "d.m.yyyy")
    office(wb, "a-fi-saha", "xls")


@sheet
def a_jp_shosha():
    wb = book(("価格表", [
        ["架空木材通商株式会社 資材部"],
        ["スキー芯材用 広葉樹・軽量材 価格表(2026年12月)"],
        ["価格は税抜、東京倉庫渡し。運賃別途。"],
        [],
        ["樹種", "等級", "厚", "巾", "長", "単価", "単位", "在庫m3", "入荷予定", "備考"],
        ["ホワイトアッシュ(米国)", "FAS", 26, 150, "2,400", 285, "千円/m3", 6.5, _, "KD 8%"],
        ["ハードメープル", "S&B", 33, 130, "2,400", 342, "千円/m3", 2.2, _, "KD 8%"],
        ["欧州ブナ(蒸煮)", "A", 26, 150, "2,500", 148, "千円/m3", _, "2027年1月15日", "KD 10%"],
        ["桐(国産)", "上", 15, 120, "1,850", 980, "円/枚", _, _, "天然乾燥"],
        ["バルサ", "ライト", 50, 100, "1,200", 620, "千円/m3", 1.4, _, _],
        ["ポプラ(イタリア)", "A/B", 40, 180, "2,500", "98", "千円/m3", 12, "2027年2月1日", "KD 10%"],
        ["孟宗竹集成板 縦", _, 20, 400, "2,000", 7400, "円/m2", _, _, "FSC 100% XXX-COC-000552 有効期限2028年3月31日"],
        ["シトカスプルース", "柾目", 30, 150, "3,000", 520, "千円/m3", 0.9, _, "KD 12%"],
        ["バーチ(輸入)", "A", 26, 120, "2,000", 176, "千円/m3", 3, _, "KD 10%"],
        ["サクラ", "A", 26, 120, "2,000", "売切れ", "千円/m3", 0, _, _],
        [],
        ["※プレーナー加工は1m3につき25,000円加算。"],
    ]))
    ws = wb.active
    for area in ("A1:J1", "A2:J2", "A3:J3"):
        ws.merge_cells(area)
    for c in ws[5]:
        c.fill = PatternFill("solid", fgColor="FFF2CC")
        c.alignment = Alignment(horizontal="center")
    form(ws, "F", range(6, 16), '#,##0')
    save(wb, "a-jp-shosha")


@sheet
def a_pt_madeiras():
    wb = book(("Tabela", [
        ["MADEIRAS DA SERRA NOVA, LDA."],
        ["Tabela de preços – madeira serrada seca em estufa"],
        ["Preços em euros por m³, sem IVA, à porta da serração. Tabela válida até 30/06/2027."],
        [],
        ["Madeira", "Classe", "Esp.", "Larg.", "Comp.", "a partir\nde 1 m³", "a partir\nde 5 m³", "Disponível"],
        ["Faia vaporizada", "A", "27", "150", "2,50", "690,00", "655,00", "imediato"],
        ["Faia natural", "AB", "32", "150", "2,50", "610,00", "585,00", "imediato"],
        ["Freixo europeu", "A", "40", "160", "3,00", "1.180,00", "1.130,00", "a partir de 18/01/2027"],
        ["Choupo", "A", "30", "200", "2,50", "385,00", "360,00", "imediato"],
        ["Bétula", "AB", "26", "120", "2,00", "790,00", "sob consulta", "imediato"],
        ["Carvalho vermelho americano", "FAS", "26", "150", "2,50", "1.340,00", "1.290,00", "imediato"],
        ["Castanho", "A", "27", "150", "2,50", "esgotado", "", ""],
        [],
        ["Aplainamento 2 faces: acresce 40,00 €/m³. Transporte não incluído."],
    ]))
    ws = wb.active
    bold(ws, 1, 2, 5)
    ws["F5"].alignment = ws["G5"].alignment = Alignment(wrap_text=True)
    ws.merge_cells("A3:H3")
    save(wb, "a-pt-madeiras")


@sheet
def a_br_kiri():
    text("a-br-kiri", [
        "Fazenda Três Barras do Kiri\t\t\t\t\t",
        "Preços em R$ FOB fazenda, sem impostos – validade: 31/01/2027\t\t\t\t\t",
        "Produto\tBitola (mm)\tComprimento\tPreço\tUnid.\tPrazo",
        "Kiri tábua seca 10%\t25 x 150\t2,50 m\t2.850,00\tm³\tpronta entrega",
        "Kiri tábua verde\t30 x 200\t3,00 m\t1.690,00\tm³\t20 dias",
        "Kiri sarrafo seco 10%\t20 x 30\t2,00 m\t38,40\tdz\tpronta entrega",
        "Kiri aparas aplainadas\tsortido\t1,00 m\t900,00\tm³\tpronta entrega",
        "Pau-de-balsa leve\t50 x 100\t1,20 m\t4.900,00\tm³\t45 dias",
        "Bambu mossô laminado\t20 x 200\t2,00 m\t312,00\tm²\t30 dias",
        "Álamo (Populus deltoides) bruto\t38 x 150\t3,00 m\t5,70\tm linear\tpronta entrega",
        "Cedro rosa\t40 x 200\t3,00 m\tsob consulta\tm³\t",
        "Frete até Porto de Paranaguá: R$ 180,00/m³\t\t\t\t\t",
    ], "utf-8-sig")


@sheet
def a_si_zaga():
    wb = book(("Zaloga vezajev", [
        ["Žaga Podgrič, Mihelčev mlin 3", _, _, _, _, _, _, _],
        ["Zaloga na dan 30. 11. 2026 – cena celega vezaja v EUR z 22 % DDV"],
        [],
        ["Vezaj", "Les", "Razred", "Mere mm", "Kosov", "m³", "Cena vezaja", "Vlaga", "Certifikat", "Na voljo od"],
        ["V-101", "Bukev parjena", "A", "32×120×2500", 130, 1.248, 989.42, "8-10 %", "PEFC 100 %, XXX-PEFC-000098, velja do 31. 3. 2028", _],
        ["V-102", "Bukev neparjena", "AB", "40×150×3000", 72, 1.296, 885.43, "8-10 %", "PEFC 100 %, XXX-PEFC-000098, velja do 31. 3. 2028", _],
        ["V-105", "Jesen", "A", "50×150×2500", 64, 1.2, 1566.48, "8-10 %", _, D(2027, 1, 4)],
        ["V-107", "Breza", "AB", "26×100×2000", 240, 1.248, 1172.92, "zračno suho", _, _],
        ["V-110", "Robinija (akacija)", "A", "27×100×2000", 200, 1.08, 1528.42, "sveže", _, D(2027, 2, 15)],
        ["V-111", "Topol", "B", "60×200×4000", 25, 1.2, 556.32, "zračno suho", "PEFC kontrolirani viri", _],
        ["V-112", "Javor", "A", "40×150×2500", 80, 1.2, "prodano", "8-10 %", _, _],
        ["Skupaj", _, _, _, 811, 8.472, _, _, _, _],
        [],
        ["Razrez vezaja možen, doplačilo 60 EUR. Prevoz po dogovoru."],
    ]))
    ws = wb.active
    ws.merge_cells("A2:J2")
    bold(ws, 1, 4, 12)
    form(ws, "F", range(5, 13), '0.000')
    form(ws, "G", range(5, 12), '#,##0.00 "EUR"')
    form(ws, "J", range(5, 12), 'd. m. yyyy')
    save(wb, "a-si-zaga")


def main():
    todo = sys.argv[1:] or list(SHEETS)
    for name in todo:
        SHEETS[name]()
    for kind in sorted({o[2] for o in OFFICE}):
        with tempfile.TemporaryDirectory() as d:
            os.mkdir(d + "/in")
            for wb, name, k in OFFICE:
                if k == kind:
                    wb.save(f"{d}/in/{name}.xlsx")
            paths = sorted(os.path.join(d, "in", f) for f in os.listdir(d + "/in"))
            subprocess.run(["soffice", "-env:UserInstallation=file://" + d + "/profile", "--headless", "--convert-to", kind,
                            "--outdir", d + "/out"] + paths, check=True, capture_output=True)
            for f in os.listdir(d + "/out"):
                shutil.move(f"{d}/out/{f}", os.path.join(OUT, f))


if __name__ == "__main__":
    main()
