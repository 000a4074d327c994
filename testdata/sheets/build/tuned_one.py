#!/usr/bin/env python3
"""Builds the sheets c-* of ../tuned: openpyxl, xlsxwriter, LibreOffice (one batch a kind), plain text. Everything in them is invented.

Run: /usr/bin/python3 testdata/sheets/build/tuned_one.py. The wants beside the sheets are written by hand.
"""
import datetime, os, shutil, subprocess, tempfile
import xlsxwriter
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill

OUT = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "tuned"))
D = datetime.date
later = []  # books that LibreOffice writes: (path, kind, name)


def book(*sheets, dates="DD.MM.YYYY"):
    wb = Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        ws = wb.create_sheet(name)
        for r, row in enumerate(rows, 1):
            for c, v in enumerate(row, 1):
                if v is not None:
                    cell = ws.cell(row=r, column=c, value=v)
                    if isinstance(v, D):
                        cell.number_format = dates
    return wb


def style(ws, *rows, fill=None):
    for row in rows:
        for cell in ws[row]:
            cell.font = Font(bold=True)
            if fill:
                cell.fill = PatternFill("solid", fgColor=fill)


def formats(ws, area, fmt):
    for row in ws[area]:
        for cell in row:
            if isinstance(cell.value, (int, float)):
                cell.number_format = fmt


def save(wb, name, kind=None):
    if kind is None:
        wb.save(os.path.join(OUT, name + ".xlsx"))
        return
    path = os.path.join(TMP, name + ".xlsx")
    wb.save(path)
    later.append((path, kind, name))


def text(name, lines, encoding, end="\r\n"):
    with open(os.path.join(OUT, name + ".csv"), "wb") as f:
        f.write((end.join(lines) + end).encode(encoding))


def de_lagerliste():
    wb = book(("Lagerliste", [
        ["Säge- und Hobelwerk Tannwinkel (erfunden) – Lagerliste Europäische Laubhölzer, besäumt"],
        ["Stand 27.11.2026 – Ansprechpartner: Hr. Ludl, DW 12"],
        [],
        ["Holzart / Sortierung", "Stärke", "Breite", "Länge", "Feuchte", "Preis netto", "lagernd m³", "verfügbar ab"],
        ["Rotbuche A gedämpft", 26, 150, 3000, "KD 8 %", 685, 12.4],
        ["Rotbuche A/B ungedämpft", 32, 120, 2000, "KD 8 %", 610, 6.8],
        ["Rotbuche A gedämpft, Parkettlänge", 26, 120, 1000, "KD 8 %", 520, None, D(2027, 1, 11)],
        ["Esche weiß A", 26, 150, "3.000", "KD 8 %", 1180, None, D(2027, 1, 18)],
        ["Esche Braunkern", 40, 140, "3.000", "KD 8 %", 790, 3.5],
        ["Birke A/B", 26, 120, 2400, "KD 10 %", 720, 4.1],
        ["Bergahorn A", 32, 150, 2500, "KD 8 %", 1390, 1.9],
        ["Robinie A", 26, 100, 2000, "AD", 1190, 2.2],
        ["Robinie A, lang", 26, 100, 3000, "AD", "1,310", 1.4],
        ["Pappel kanad.", 50, 180, 3000, "frisch", 365, 22],
        ["Brennholz Buche gespalten, 1 m, je Rm", None, None, None, None, 98],
        [],
        ["Preise in Euro je m³ ab Werk Tannwinkel, gültig bis 28.02.2027, Zwischenverkauf vorbehalten."],
        ["Hobeln 2-seitig", None, None, None, None, 45],
    ]))
    ws = wb.active
    ws.merge_cells("A1:H1")
    ws.merge_cells("A17:H17")
    style(ws, 1, 4, fill="E2EFDA")
    formats(ws, "F5:F18", "#,##0.00")
    ws["F13"].alignment = Alignment(horizontal="right")
    ws.column_dimensions["A"].width = 36
    ws.freeze_panes = "A5"
    save(wb, "c-de-lagerliste")


def de_artikelexport():
    text("c-de-artikelexport", [
        "ArtNr;Bezeichnung;VK-Preis;Whg;PE;ME;Mindestmenge;Zertifikat;Zert-Nr.;gültig bis",
        "10021;Buche ged. 32×150×3300 KD8;712,00;EUR;1;m³;1;FSC Mix 70 %;XXX-COC-000517;30.04.2029",
        "10022;Buche ged. 26×120×2000 KD8;205,00;EUR;100;lfm;;FSC Mix 70 %;XXX-COC-000517;30.04.2029",
        "10040;Esche dt. A 26×150×2500;3,55;EUR;1;lfm;;;;",
        "10041;\"Esche weiß amerik. FAS 4/4 6\"\"+ 8'+ KD\";1.180,00;EUR;1;m³;2;FSC Controlled Wood;XXX-COC-000517;30.04.2029",
        "10055;Pappel 20×140×2100 roh;1.190,00;EUR;1000;lfm;;PEFC 100 %;XXX-PEFC-000093;31.12.2027",
        "10056;Paulownia Leimholzplatte 18×400×2000;14,40;EUR;1;m²;;;;",
        "10060;Birke A/B 15×90×2400;235,00;EUR;100;Stk;;FSC 100 %;XXX-COC-000518;31.08.2026",
        "10061;Bambusplatte caramel 20×400×1900;39,00;EUR;1;m²;;FSC 100 %;XXX-COC-000519;15.02.2028",
        "10070;Balsa mittel 25×100×1200;0,00;EUR;1;m³;;;;",
        "10071;Balsa leicht 25×100×1200;2.650,00;EUR;1;m³;0,5;;;",
        "90001;Fracht Inland ab 2 m³;45,00;EUR;1;m³;;;;",
        "90002;Zuschnittpauschale je Auftrag;25,00;EUR;1;psch;;;;",
    ], "cp1252")


def ch_matrix():
    wb = book(("Esche", [
        ["Zuschnitte Esche Schweiz, A, KD 8 ± 2 %, Länge 3'000"],
        ["Preise in CHF pro Laufmeter, exkl. MWST 8,1 %"],
        [],
        [None, "Dicke"],
        ["Breite", 26, 30, 40],
        [120, 3.6, 4.2, 5.7],
        [140, 4.25, 4.95, "a. A."],
        [160, 4.9, 5.75, 7.8],
        [],
        ["Gültig bis 31.3.2027"],
    ]), ("Buche ged.", [
        ["Rohfriesen, A, KD 8 %, CHF exkl. MWST"],
        [],
        ["Dicke", "Breite", "Länge", "CHF/m2", "Lager m3"],
        [27, 120, "3'000", 21.6, 3.2],
        [34, 120, "3'000", 27.9, 1.8],
        [40, 150, "2'400", 33.6],
        [50, 150, "2'400", "ausverkauft"],
    ]), ("Info", [
        ["Hobelwerk Fadenmatt AG (erfunden), Lagerhausweg 3"],
        ["Lieferung per Camion", "CHF 180.–", "pauschal"],
        ["ab CHF 5'000.– Auftragswert franko"],
    ]))
    ws = wb["Esche"]
    ws.merge_cells("B4:D4")
    ws["B4"].alignment = Alignment(horizontal="center")
    style(ws, 1, 5)
    formats(ws, "B6:D8", "0.00")
    formats(wb["Buche ged."], "D4:D7", '"CHF" 0.00')
    style(wb["Buche ged."], 3, fill="D9D9D9")
    save(wb, "c-de-ch-matrix", "ods")


def us_yard():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "c-en-us-yard.xlsx"))
    ws = wb.add_worksheet("Yard Stock")
    head = wb.add_format({"bold": True, "bottom": 1, "bg_color": "#FFE699"})
    money = wb.add_format({"num_format": "$#,##0.00"})
    rows = [
        ["HOLLOW CREEK HARDWOOD YARD (fictitious) - yard stock as of 12/01/2026"],
        ["All KD 6-8% unless noted. US dollars, FOB yard. Tally subject to prior sale."],
        [],
        ["Bdl #", "Item", "Bd Ft", "Price", "Per", "Our cost", "Remarks"],
        ["T-118", "4/4 Hard Maple Select & Better 6\"+ x 8'", 612, 3.45, "BF", 2.61, "white one face"],
        ["T-119", "5/4 Hard Maple #1 Com 4\"+ x 8'", 588, 2150, "MBF", 1620],
        ["T-124", "8/4 White Ash FAS 6\"+ x 10'", 960, 2650, "M", 2010, "per thousand"],
        ["T-125", "4/4 White Ash FAS 6\"+ x 8'", 540, 1431, "Bdl", 1100, "sold by the bundle only"],
        ["T-131", "4/4 Beech #1 Com & Btr 5\"+ x 8'", 700, 1.35, "BF", 0.98],
        ["T-133", "4/4 Soft Maple Sel & Btr 6\"+ x 8'", 430, 2.05, "BF", 1.5],
        ["T-140", "8/4 Basswood Sel & Btr 6\"+ x 10'", 350, 1.9, "BF", 1.4],
        ["T-142", "6/4 White Ash #1 Com", 410, "SOLD", "BF", None, "gone 11/24"],
        ["T-150", "5/4 Hickory #1 Com & Btr 5\"+ x 8'", 800, 1750, "MBF", 1300, "air dried 15%"],
        ["P-02", "Red Oak rough blanks 5/8\" x 2-1/2\" x 48\"", None, 68, "100 pcs", 41],
        ["P-03", "Tulip Poplar rough 1\" x 6\" x 10'", None, 6.5, "pc", 4.4],
        [],
        [None, "Delivery within 50 miles", None, 85, "trip"],
    ]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if v is not None:
                ws.write(r, c, v, head if r == 3 else money if c in (3, 5) and not isinstance(v, str) else None)
    ws.set_column("B:B", 44)
    ws.set_column("F:F", 9, None, {"hidden": 1})
    ws.freeze_panes(4, 0)
    wb.close()


def uk_importer():
    wb = book(("Price List", [
        ["Marsh & Tolland Hardwoods (fictitious) – merchant price list no. 31"],
        ["Prices in £ per cubic foot ex yard, excluding VAT"],
        [],
        ["Species / grade", "Thick.", "Width", "Length", "List", None, "Moisture", "Stock cu ft", "Due in"],
        [None, None, None, None, 2025, 2026],
        ["EUROPEAN"],
        ["Beech steamed, prime", "27mm", "150mm+", "2.4m+", 21.5, 23, "KD 10-12%", 640],
        ["Ash white, superprime", "33mm", "160mm+", "3.0m+", 37, 38.5, "KD 10-12%"],
        ["Birch, A/B", "26mm", "120mm", "2.4m", 25.5, 26, "KD 10-12%"],
        ["Poplar, AD", "52mm", "200mm", "2.5m", 12, 12.5, "AD", 900],
        ["AMERICAN"],
        ["Ash white, FAS", "5/4\"", "6\"+", "8'+", 36.5, 39, "KD 8-10%", None, D(2027, 1, 25)],
        ["Maple hard, FAS 1F", "4/4\"", "6\"+", "8'+", 49, 52, "KD 8-10%"],
        ["Tulipwood, FAS", "8/4\"", "6\"+", "8'+", 24, 25.5, "KD 8-10%", 410],
        ["Hickory, FAS", "4/4\"", "6\"+", "8'+", 33, "POA", "KD 8-10%"],
        ["Sitka spruce, clear", "2\"", "6\"", "12'", 41, 44, "KD 12%"],
        [],
        ["All list prices less 7.5% trade discount. List valid to 31st January 2027."],
        ["Carriage to site", None, None, None, None, 65],
    ], ), dates="DD/MM/YYYY")
    ws = wb.active
    for area in ("A4:A5", "B4:B5", "C4:C5", "D4:D5", "E4:F4", "G4:G5", "H4:H5", "I4:I5", "A6:I6", "A11:I11"):
        ws.merge_cells(area)
    style(ws, 1, 4, 5, 6, 11)
    formats(ws, "E7:F19", "£0.00")
    save(wb, "c-en-uk-cubefoot")


def ie_broker():
    wb = book(("Offers wk 49", [
        ["Carrowmore Timber Brokers (fictitious)", None, None, None, "Offers week 49 / 2026"],
        ["Net prices in euro per cubic metre, delivered Dublin port. Kiln dried 8-10% unless stated."],
        [],
        ["Lot", "Description", "Size", "m³ on hand", "Price", "Certificate", "Number", "Valid to", "Ready"],
        ["CT-01", "European beech, steamed", "26 x 140 x 2500", 14.2, 705, "FSC 100%", "XXX-COC-000417", D(2028, 6, 30), "ex stock"],
        ["CT-02", "European ash, A", "32 x 150 x 3000", 6.5, 985, "FSC Mix 70%", "XXX-COC-000388", D(2026, 9, 14), "ex stock"],
        ["CT-03", "European birch (Latvia), A/B", "21 x 100 x 2400", 22, 640, "100% PEFC", "XXX-PEFC-000120", D(2027, 11, 30), "3 weeks"],
        ["CT-04", "Hybrid poplar, air dried", "40 x 200 x 2500", 18, 355, "FSC Controlled Wood", "XXX-COC-000417", D(2028, 6, 30), D(2027, 1, 15)],
        ["CT-05", "Ayous, FAS", "52 x 200 x 3000", 9.8, 880, "FSC Mix Credit", "XXX-COC-000455", D(2029, 3, 31), D(2027, 2, 8)],
        ["CT-06", "Paulownia, plantation grown", "30 x 120 x 2000", 7.4, 560, "none", None, None, "4 weeks"],
        ["CT-07", "Ash, A", "26 x 130 x 2200", 3.1, 890, "–", None, None, "ex stock"],
        ["CT-08", "American red oak, No. 1 Com", "26 x 130 x 2400", 5, 1240, "PEFC Mix", "XXX-PEFC-000134", D(2027, 5, 31), "ex stock"],
        ["CT-09", "Western red cedar, clear", "25 x 150 x 3600", None, "on application"],
        ["CT-10", "European beech, unsteamed", "50 x 120 x 2000", 0, "SOLD", "FSC 100%", "XXX-COC-000417", D(2028, 6, 30)],
        ["Total on hand", None, None, 86],
    ]), dates="DD/MM/YYYY")
    ws = wb.active
    style(ws, 1, 4)
    formats(ws, "E5:E12", '"€"#,##0')
    ws["D15"].font = Font(bold=True)
    ws.column_dimensions["B"].width = 32
    save(wb, "c-en-ie-certs")


def it_segheria():
    wb = book(("Listino 7", [
        ["SEGHERIA VALCAVA s.n.c. (immaginaria)"],
        ["Listino n. 7 – dicembre 2026 – tavole refilate stagionate"],
        ["Prezzi in € al mq per ogni cm di spessore, IVA 22% compresa"],
        [],
        ["Essenza", "Scelta", "Spess. cm", "Largh. cm", "Lungh.", "2025", "2026", "Giacenza"],
        [None, None, None, None, None, "€/mq x cm", "€/mq x cm", "mc"],
        ["Faggio evaporato", "A", 2.7, 14, "2,5", 8.1, 8.54, 7.5],
        ["Faggio evaporato", "B", 3.2, 12, "2,0", 6.5, 6.83, 4],
        ["Frassino naz. bianco", "A", 3.2, 15, "3,0", 11.2, 11.59, 2.6],
        ["Robinia (acacia)", "A", 2.7, 10, "2,0", 14, 14.64],
        ["Betulla", "A/B", 2.6, 12, "2,4", 8.5, 8.78, 3],
        ["Pioppo I-214", None, 5, 20, "2,5", 4.1, 4.27, 18],
        ["Pioppo I-214", None, 8, 20, "2,5", 4.1, "esaurito"],
        [],
        ["Listino valido fino al 28/02/2027"],
        ["Trasporto con ns. automezzo", None, None, None, None, None, 0.9, "al km"],
    ]))
    ws = wb.active
    ws.merge_cells("A1:H1")
    style(ws, 1, 5, 6, fill="FCE4D6")
    formats(ws, "F7:G16", "0.00")
    formats(ws, "C7:C13", "0.0")
    save(wb, "c-it-segheria", "xlsx")


def it_fasci():
    text("c-it-fasci", [
        "LEGNAMI BORGOSTRADA SRL (immaginaria) - disponibilità a fasci interi;;;;;;;;",
        "Prezzi netti in euro a fascio, franco ns. deposito - si vende solo a fascio intero;;;;;;;;",
        ";;;;;;;;",
        "Fascio;Essenza;Sezione mm;Lung. m;Pezzi;mc;Prezzo a fascio;Pronto dal;Certificazione",
        "F-201;Tulipier americano FAS;26x160;3,05;48;0,609;536,00;;",
        "F-202;Faggio evaporato A;32x120;2,00;100;0,768;499,20;;PEFC 100%",
        "F-203;Frassino europeo A;32x150;3,00;60;0,864;864,00;20/01/2027;",
        "F-204;Acero duro americano (hard maple) S&B;33x150;2,44;60;0,725;1.087,50;;",
        "F-205;Ayous FAS;52x200;3,00;30;0,936;795,60;01/02/2027;FSC Mix",
        "F-206;Betulla A/B;26x100;2,40;120;0,749;524,30;;PEFC Controlled Sources",
        "F-207;Pioppo canadese;40x180;2,50;50;0,900;venduto;;",
        "F-208;Pioppo canadese;50x200;2,50;36;0,900;297,00;;PEFC 100%",
        "TOTALE;;;;504;6,451;;;",
        "Certificati: PEFC XXX-PEFC-000882 scad. 31/12/2027 - FSC XXX-COC-000640 scad. 30/09/2028;;;;;;;;",
    ], "utf-8")


def es_almacen():
    wb = book(("Existencias", [
        ["MADERAS PEÑALBA S.A. (ficticia) – Existencias en almacén, diciembre 2026"],
        ["Precios sin IVA. Se factura en euros; el precio en US$ es solo orientativo."],
        [],
        ["EUROPEAS", None, None, None, None, None, None, "AMERICANAS"],
        ["Madera", "Grueso", "Ancho", "Largo", "€/m³", "Disponible desde", None, "Madera", "Grueso", "Ancho", "Largo", "€/m³", "US$/m³"],
        ["Haya vaporizada A", 27, 120, "2,50", 690, None, None, "Arce duro FAS", "4/4", "6\"+", "8'+", 1495, 1630],
        ["Haya B", 32, 100, "2,00", 540, None, None, "Fresno blanco FAS", "5/4", "6\"+", "8'+", 1120, 1221],
        ["Fresno blanco A", 26, 150, "3,00", 980, D(2027, 1, 15), None, "Tulípero FAS", "8/4", "6\"+", "8'+", 760, 828],
        ["Chopo canadiense", 40, 200, "2,50", 345, None, None, "Roble rojo 1C", "4/4", "5\"+", "8'+", "consultar"],
        ["Robinia A", 27, 100, "2,00", "1.150,00", D(2027, 2, 1), None, "Nogal americano FAS", "4/4", "6\"+", "8'+", 3150, 3433],
        [],
        ["LISTONES EN BRUTO"],
        ["Madera", "Grueso", "Ancho", "Largo", "€/millar"],
        ["Chopo", 12, 40, "1,90", 365],
        ["Abedul", 15, 60, "2,00", "1.350"],
        ["Haya", 10, 50, "2,00", 720],
        [],
        ["Portes no incluidos", None, None, None, 0.95, "€/km"],
        ["Haya y chopo con certificado PEFC 100 % (XXX-PEFC-000341, vigente hasta 30/06/2027)."],
    ]), dates="DD/MM/YYYY")
    ws = wb.active
    for area in ("A4:F4", "H4:M4", "A12:E12"):
        ws.merge_cells(area)
    style(ws, 1, 4, 5, 12, 13)
    formats(ws, "E6:E18", "#,##0.00")
    formats(ws, "L6:M10", "#,##0.00")
    save(wb, "c-es-almacen", "xls")


def pl_tartak():
    wb = book(("Oferta", [
        ["Tartak Zielony Jar Sp. z o.o. (firma zmyślona) – oferta nr 12/2026"],
        ["Tarcica obrzynana, ceny loco tartak"],
        [],
        ["Gatunek", "Klasa", "Grubość", "Szerokość", "Długość", "Wilgotność", "Cena netto zł/m³", "Cena brutto (VAT 23%)", "Ilość m³", "Dostępne od"],
        ["Buk parzony", "A", 27, 120, "2,5", "8-10%", 2950, 3628.5, 6.2],
        ["j.w.", "B", 32, 100, "2,0", "j.w.", 2180, 2681.4, 11],
        ["Buk niepar.", "A/B", 50, 150, "3,0", "12%", 2350, 2890.5, 4.5],
        ["Jesion", "A", 32, 150, "3,0", "8-10%", 4290, 5276.7],
        ["j.w.", "B", 26, "100-160", "2,0-3,0", "j.w.", 3100, 3813, None, D(2027, 1, 11)],
        ["Brzoza", "A/B", 26, 100, "2,4", "10%", 2480, 3050.4, 8],
        ["Grab", "B", 40, 120, "2,0", "12%", 2600, 3198, 2.5],
        ["Topola", None, 50, 180, "2,5", "świeża", 1290, 1586.7, 30],
        ["Akacja (robinia)", "A", 27, 100, "2,0", "powietrznie suche", "4 850,00", "5 965,50", 1.6],
        ["Jesion", "A", 40, 150, "3,0", "8-10%", "sprzedane"],
        ["RAZEM", None, None, None, None, None, None, None, 63.8],
        [],
        ["Listwy surowe (niestrugane), cena za 100 mb"],
        ["Gatunek", "Klasa", "Przekrój", None, "Długość", None, "netto zł", "brutto zł"],
        ["Buk", "A", "20x60", None, "2,0", None, 420, 516.6],
        ["Jesion", "A", "15x70", None, "2,2", None, 480, 590.4],
        ["Brzoza", "A/B", "15x60", None, "2,0", None, 265, 325.95],
        [],
        ["Transport", None, None, None, None, None, 4.5, 5.54, "zł/km"],
    ]))
    ws = wb.active
    ws.merge_cells("A1:J1")
    for row in (19, 20, 21):
        ws.merge_cells(start_row=row, end_row=row, start_column=3, end_column=4)
    style(ws, 1, 4, 17, 18, fill="DDEBF7")
    formats(ws, "G5:H23", "#,##0.00")
    save(wb, "c-pl-tartak")


def cz_pila():
    wb = book(("Ceník", [
        ["Pila Borovany u Lípy (smyšlená) – ceník sušeného listnatého řeziva, zima 2026/27"],
        ["Ceny v tis. Kč za m³ bez DPH. Na ceny této tabulky sleva 5 % (do 31. 1. 2027)"],
        [],
        ["Jakost", "Tloušťka", "Šířka", "Délka", "Vlhkost", "Cena", "Skladem m³", "K dispozici od"],
        ["BUK PAŘENÝ"],
        ["A", 27, 120, 2500, "8 %", 18.5, 5.2],
        ["A/B", 32, 120, 2500, "8 %", 16.9, 3],
        ["B", 50, 150, 3000, "12 %", 12.4],
        ["JASAN BÍLÝ (Morava)"],
        ["A", 32, 150, 3000, "8 %", 27.5, 2.4],
        ["A", 40, 150, 3000, "8 %", 28.9, None, "1. 2. 2027"],
        ["TOPOL KANADSKÝ"],
        [None, 50, 180, 3000, "čerstvý", 8.2, 16],
        ["AKÁT"],
        ["A", 27, 100, 2000, "10 %", 29, 1.5],
        ["B", 27, 80, 2000, "10 %", "na dotaz"],
        [],
        ["Lišty hrubé – ceny včetně DPH"],
        ["Dřevina", "Průřez", None, "Délka", None, "Kč/bm"],
        ["Buk", "20 x 60", None, 2000, None, 32],
        ["Jasan", "15 x 60", None, 2000, None, 36.5],
        [],
        ["Doprava", None, None, None, None, 28, "Kč/km"],
    ]))
    ws = wb.active
    for row in (5, 9, 12, 14):
        ws.merge_cells(start_row=row, end_row=row, start_column=1, end_column=8)
    style(ws, 1, 4, 5, 9, 12, 14, 18, 19)
    formats(ws, "F6:F16", "0.0")
    formats(ws, "F20:F21", "0.00")
    save(wb, "c-cz-pila", "xlsx")


def fi_saha():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "c-fi-saha.xlsx"))
    bold = wb.add_format({"bold": True, "bottom": 2})
    euro = wb.add_format({"num_format": "#,##0.00 €"})
    date = wb.add_format({"num_format": "d.m.yyyy"})

    def sheet(name, rows, head, money):
        ws = wb.add_worksheet(name)
        for r, row in enumerate(rows):
            for c, v in enumerate(row):
                if isinstance(v, D):
                    ws.write_datetime(r, c, datetime.datetime(v.year, v.month, v.day), date)
                elif v is not None:
                    ws.write(r, c, v, bold if r == head else euro if c in money and not isinstance(v, str) else None)
        ws.set_column("E:G", 22)

    sheet("Koivu", [
        ["Saha Kuusilampi Oy (keksitty) – koivusahatavara, kamarikuivattu 8 %"],
        [],
        ["Laatu", "Paksuus", "Leveys", "Pituus m", "€/m³ alv 0 %", "€/m³ sis. alv 25,5 %", "Saatavilla"],
        ["A", 26, 100, 2.4, 690, 865.95, "heti"],
        ["A", 32, 125, 3, 720, 903.6, D(2027, 1, 18)],
        ["B", 26, 100, 2.4, 540, 677.7, "heti"],
        ["A/B", 50, 150, 3.6, "loppu", "loppu"],
    ], 2, (4, 5))
    sheet("Saarni", [
        ["Saarni, kamarikuivattu 8 %, hinnat €/jm alv 0 %"],
        [],
        ["Laatu", "Koko mm", "Pituus m", "Hinta €/jm"],
        ["A", "32x150", 3, 5.76],
        ["A", "26 x 120", 2.4, 3.35],
        ["B", "26 x 120", 2.4, 2.6],
    ], 2, (3,))
    sheet("Pyökki", [
        ["Pyökki, höyrytetty, tuonti Saksasta. Hinnat €/m³ sis. alv 25,5 %"],
        [],
        ["Laatu", "Paksuus", "Leveys", "Pituus m", "alle 3 m³", "3 m³ tai enemmän"],
        ["A", 27, 120, 2.5, 1079.3, 1029.1],
        ["A", 32, 150, 2.5, 1110.7, 1060.48],
    ], 2, (4, 5))
    sheet("Toimitus", [
        ["Rahti Etelä-Suomi", "120 €"],
        ["Hinnat voimassa 31.1.2027 asti. Maksuehto 14 pv netto."],
    ], None, ())
    wb.close()


def zh_importer():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "c-zh-jinkou.xlsx"))
    ws = wb.add_worksheet("现货报价")
    head = wb.add_format({"bold": True, "border": 1, "align": "center", "bg_color": "#BDD7EE"})
    title = wb.add_format({"bold": True, "font_size": 16, "align": "center"})
    date = wb.add_format({"num_format": "yyyy/m/d"})
    num = wb.add_format({"num_format": "#,##0"})
    rows = [
        ["汇林木业(虚构)进口板材现货报价单"],
        ["2026年12月1日  单价含13%增值税,仓库自提"],
        [],
        ["材种", "等级", "厚度", "宽度", "长度", "含水率", "单价(元/m³)", "库存(m³)", "到货日期"],
        ["北美硬枫", "FAS", "4/4", "6\"+", "8'-12'", "8-10%", 11300, 26],
        ["美国白蜡木", "FAS", "4/4", "6\"+", "8'-12'", "8-10%", 8136, 41],
        ["美国红橡", "1C", "5/4", "5\"+", "8'-12'", "8-10%", 5650, 18],
        ["山核桃木", "FAS", "4/4", "6\"+", "8'+", "8-10%", 9492, None, D(2027, 1, 20)],
        ["北美鹅掌楸", "FAS", "8/4", "6\"+", "8'+", "8-10%", 5085, 12],
        ["欧洲白蜡木", "A", "26mm", "150mm", "3000mm", "8-10%", 7910, 9.5],
        ["欧洲榉木(山毛榉,蒸汽)", "A", "32mm", "120mm", "2000mm", "8-10%", 4746, 33],
        ["俄罗斯桦木", "AB", "26mm", "120mm", "2400mm", "10%", 4068, None, D(2027, 2, 10)],
        ["水曲柳", "A", "30mm", "150mm", "2000mm", "10%", 7345, 15],
        ["红雪松(北美西部)", "Clear", "25mm", "150mm", "3600mm", "12%", "售罄"],
        ["合计", None, None, None, None, None, None, 154.5],
        [],
        ["报价有效期至2026年12月31日。运费另计:市内 350元/车"],
    ]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if isinstance(v, D):
                ws.write_datetime(r, c, datetime.datetime(v.year, v.month, v.day), date)
            elif v is not None and r != 0:
                ws.write(r, c, v, head if r == 3 else num if c == 6 and not isinstance(v, str) else None)
    ws.merge_range("A1:I1", rows[0][0], title)
    ws.set_column("A:A", 24)
    wb.close()


def zh_export():
    text("c-zh-paotong", [
        "FOB上海报价 2026-12,,,,,,",
        "序号,品名 Description,规格mm,等级,单位 Unit,单价 USD,起订量(m³)",
        "1,泡桐拼板 Paulownia panel,18*400*2000,AA,平方米,11.70,",
        "2,泡桐条(毛料) Paulownia,20*60*1900,A,片,1.25,",
        "3,竹集成材 侧压碳化 Bamboo laminated,20*120*1900,A,立方米,\"1,450.00\",5",
        "4,竹片毛料 Bamboo laminated slats,6*20*1900,A,千片,365.00,",
        "5,轻木 Balsa,25*100*1200,轻,立方米,\"2,150.00\",2",
        "6,欧美杨 Poplar (Populus x euramericana),30*150*2500,AB,立方米,335.00,20",
        "7,泡桐单板 Paulownia,5*150*1250,A,百片,\"询价\",",
        "8,泡桐方料 Paulownia lumber,40*120*2400,B,立方米,430.00,10",
        "9,样品费 Sample fee,,,次,50.00,",
    ], "gb18030")


def pt_madeiras():
    wb = book(("Tabela", [
        ["MADEIRAS DO VALE ESCURO, LDA (fictícia)"],
        ["Tabela de preços – Dezembro 2026 – preços com IVA incluído à taxa de 23%"],
        [],
        ["Madeira", "Classe", "Espessura", "Largura", "Comprimento", None, "Preço", "Stock"],
        [None, None, "mm", "mm", "m", None, "€/m³", "m³"],
        ["Faia vaporizada", "A", 27, "120 a 180", "2,20", None, "861,00", "5,5"],
        [None, "B", 32, "100", "2,00", None, "676,50", "9,0"],
        ["Freixo europeu", "A", 26, "150", "3,00", None, "1.230,00", "2,4"],
        ["Bétula", "A/B", 21, "100", "2,40", None, "824,10", None],
        ["Choupo", None, 40, "200", "2,50", None, "430,50", "24"],
        [None, None, 52, "200", "2,50", None, "esgotado", None],
        ["Robínia (falsa-acácia)", "A", 27, "100", "2,00", None, "1.476,00", "1,2"],
        ["Balsa do Equador", "AA", 50, "100", "1,20", None, "2.952,00", "3,1"],
        [],
        ["Réguas em bruto – preço por dúzia (12 peças), sem IVA"],
        ["Madeira", "Classe", "Espessura", "Largura", "Comprimento", None, "€/dúzia"],
        ["Faia", "A", 20, "60", "2,00", None, "24,50"],
        ["Choupo", None, 15, "80", "2,10", None, "12,10"],
        ["Freixo", "A", 15, "60", "2,00", None, "22,00"],
        [],
        ["Portes (zona norte)", None, None, None, None, None, "60,00"],
        ["Preços válidos até 31/01/2027, salvo venda."],
    ]))
    ws = wb.active
    for area in ("A1:H1", "A6:A7", "A10:A11", "A15:H15"):
        ws.merge_cells(area)
    for row in range(6, 20):
        for c in "DEG":
            ws[c + str(row)].alignment = Alignment(horizontal="right")
    style(ws, 1, 4, 5, 15, 16)
    ws.row_dimensions[3].height = 6
    save(wb, "c-pt-madeiras")


def no_sagbruk():
    wb = book(("Prisliste", [
        ["Elvegard Sagbruk AS (oppdiktet) – skurlast av løvtre, ovnstørket 8 %"],
        ["Priser i kr pr. lm ekskl. mva. (25 %), levert på bil ved saga"],
        [],
        ["Treslag", "Sort.", "Dim.", "Lengde", None, None, "Tilgjengelig fra"],
        [None, None, None, "2,4 m", "3,0 m", "3,6 m"],
        ["Bjørk", "A", "25x100", 17.5, 18, 18.75],
        ["Bjørk", "B", "25x125", 15, 15.6, "-"],
        ["Ask", "A", "32x150", 52.8, 54.7, "forespørsel", D(2027, 1, 12)],
        ["Bøk, dampet", "A", "27x120", 26.6, 27.5],
        [],
        ["Restpartier, kr/m3 inkl. 25 % mva."],
        ["Treslag", "Sort.", "Dim.", "Lengde", "Pris", "Mengde m3"],
        ["Poppel, fersk", None, "50x180", "3,0 m", "4.250,-", 14],
        ["Robinia", "A", "27x100", "2,0 m", "14.500,-", 1.3],
        ["Rød eik, amerikansk", "No. 1 Com", "26x130", "2,4 m", "16.250,-", 0.9],
        ["Hickory, FAS", None, "26x150", "2,4 m", "utsolgt"],
        [],
        ["Prisene gjelder til 31.01.2027. Frakt Østlandet kr 1.200,- pr. levering."],
    ]))
    ws = wb.active
    for area in ("A4:A5", "B4:B5", "C4:C5", "D4:F4", "G4:G5"):
        ws.merge_cells(area)
    style(ws, 1, 4, 5, 11, 12, fill="EDEDED")
    formats(ws, "D6:F9", "0.00")
    save(wb, "c-no-sagbruk", "xlsx")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as TMP:
        for f in (de_lagerliste, de_artikelexport, ch_matrix, us_yard, uk_importer, ie_broker, it_segheria, it_fasci, es_almacen,
                  pl_tartak, cz_pila, fi_saha, zh_importer, zh_export, pt_madeiras, no_sagbruk):
            f()
        for kind in sorted({k for _, k, _ in later}):
            subprocess.run(["soffice", "-env:UserInstallation=file://" + TMP + "/profile", "--headless", "--convert-to", kind,
                            "--outdir", TMP + "/out"] + [p for p, k, _ in later if k == kind], check=True, capture_output=True)
        for _, kind, name in later:
            shutil.move(os.path.join(TMP, "out", name + "." + kind), os.path.join(OUT, name + "." + kind))
