#!/usr/bin/env python3
"""Builds the sheets d-* of ../tuned: openpyxl, xlsxwriter, LibreOffice (one batch a kind), plain text. Everything in them is invented.

Run: /usr/bin/python3 testdata/sheets/build/tuned_two.py. The wants beside the sheets are written by hand.
"""
import datetime, os, shutil, subprocess, tempfile
import xlsxwriter
from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

OUT = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "tuned"))
D = datetime.date
BOLD = Font(bold=True)
later = []  # books that LibreOffice writes: (path of the book, kind, name)


def book(*sheets):
    wb = Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        ws = wb.create_sheet(name)
        for r, row in enumerate(rows, 1):
            for c, v in enumerate(row, 1):
                if v is not None:
                    cell = ws.cell(row=r, column=c, value=v)
                    if isinstance(v, D):
                        cell.number_format = "DD.MM.YYYY"
    return wb


def bold(ws, *rows, fill=None):
    for row in rows:
        for cell in ws[row]:
            cell.font = BOLD
            if fill:
                cell.fill = PatternFill("solid", fgColor=fill)


def save(wb, name, kind=None):
    if kind is None:
        wb.save(os.path.join(OUT, name + ".xlsx"))
        return
    path = os.path.join(TMP, name + ".xlsx")
    wb.save(path)
    later.append((path, kind, name))


def text(name, text_, encoding):
    with open(os.path.join(OUT, name + ".csv"), "wb") as f:
        f.write(text_.encode(encoding))


def fr_scierie():
    wb = book(("Tarif avivés", [
        ["SCIERIE DES TROIS COMBES (fictive) – Tarif avivés n° 14 – hiver 2026/27"],
        ["Prix en € H.T. au m³, départ scierie"],
        [],
        ["Choix", "Ép.", "Larg.", "Long.", "Humidité", "Prix", "Dispo (m³)", "Disponible à partir du"],
        ["HÊTRE ÉTUVÉ"],
        ["A", 27, 120, "2,50", "8-10 %", 780, "6,4"],
        ["A", 34, 120, "2,50", "8-10 %", 815, "3,2"],
        ["B", 27, 100, "2,00", "8-10 %", "épuisé"],
        ["FRÊNE (France)"],
        ["A", 27, 150, "3,00", "8-10 %", "1\u202f140,00"],
        ["A/B", 41, 150, "3,00", "ressuyé", 890, None, D(2027, 1, 15)],
        ["PEUPLIER (clone I-214)"],
        [None, 41, 200, "2,00", "ressuyé", 365, 18],
        ["ROBINIER FAUX-ACACIA"],
        ["A", 27, 100, "2,00", "8-10 %", "1\u202f260,00"],
        [],
        ["Port, camion complet (par m³)", None, None, None, None, 38],
        ["Tarif valable jusqu'au 28/02/2027. Escompte 2 % pour paiement sous 8 jours."],
    ]))
    ws = wb.active
    for row in (5, 9, 12, 14):
        ws.merge_cells(start_row=row, end_row=row, start_column=1, end_column=8)
        bold(ws, row, fill="E2EFDA")
    for row in (6, 7, 11, 13):
        ws.cell(row=row, column=6).number_format = '#,##0.00'
    bold(ws, 1, 4)
    save(wb, "d-fr-scierie-tarif")


def fr_negoce():
    text("d-fr-negoce-export", "\r\n".join([
        "Code;Désignation;Unité;P.U. HT EUR;TVA;Stock",
        "BH2712;HETRE ETUVE 1CHX 27x120x2500 KD;m3;795,00;20;oui",
        "BF2615;FRENE BLANC USA FAS 26x150x2440 KD 8%;m3;1185,00;20;oui",
        "BB3210;BOULEAU A/B 32x100x2000 KD 8%;ml;2,24;20;oui",
        "BP2020;PEUPLIER 20x200 LG 2000 AD;m2;8,40;20;oui",
        "BA4015;AYOUS FAS 40x150x3000 KD;m3;980,00;20;oui",
        "BG2720;FROMAGER 27x200x2500;m3;620,00;20;oui",
        "BL2510;BALSA LEGER 25x100x1000;pce;6,25;20;oui",
        "BM2010;BAMBOU LAMELLE CARAMEL 20x100x1900;pce;7,22;20;oui",
        "BH0606;HETRE LATTE 6x60x2000;100 ml;31,68;20;oui",
        "BC2715;CHENE QB1 27x150x2500;m3;1450,00;20;oui",
        "ZT01;TRANSPORT LYON ET REGION;forfait;95,00;20;",
        "",
    ]), "cp1252")


def de_saegewerk():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "d-de-saegewerk-matrix.xlsx"))
    ws = wb.add_worksheet("Preise")
    head, money = wb.add_format({"bold": 1, "bg_color": "#D9E1F2", "border": 1, "align": "center"}), wb.add_format({"num_format": "#,##0.00", "border": 1})
    ws.write("A1", "Sägewerk Hinterthal (erfunden) – Europäische Laubhölzer, Schnittware besäumt, KD 8 %", wb.add_format({"bold": 1, "font_size": 14}))
    ws.write("A2", "Preise in €/m³ ab Werk, inkl. 19 % MwSt., Länge 3 m")
    ws.merge_range("A4:D4", "Rotbuche A, gedämpft", head)
    ws.merge_range("F4:I4", "Esche weiß A", head)
    for c, v in enumerate(["Breite", "26 mm", "32 mm", "40 mm", None, "Breite", "26 mm", "32 mm", "40 mm"]):
        if v:
            ws.write(4, c, v, head)
    rows = [[100, 714, 737.8, 773.5, None, 100, 1023.4, 1059.1, None], [120, 737.8, 761.6, 797.3, None, 120, 1047.2, 1082.9, 1130.5], [150, 785.4, 809.2, "a. Anfr.", None, 150, 1082.9, 1118.6, 1178.1]]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if c == 0 or c == 5:
                ws.write(5 + r, c, v, head)
            elif v is not None:
                ws.write(5 + r, c, v, money)
    ws.write("A10", "Mindermengen unter 1 m³: Zuschlag 45,- €")
    ws.write("A11", "Preisliste gültig bis 31.03.2027")
    ws.set_column("A:I", 11)
    wb.close()


def de_paketliste():
    wb = book(("Pakete", [
        ["Paketliste Laubschnittholz – Holzhandel Auenbach (erfunden)"],
        ["Netto ab Lager, Abgabe nur paketweise"],
        [],
        ["Paket", "Holz", None, "Abmessung [mm]", None, None, "Stück", "Inhalt", "EK", "Preis", "Verfügbar", "Zertifikat"],
        [None, "Holzart", "Güte", "Stärke", "Breite", "Länge", None, "m³", "€/m³", "€/Paket", "ab", None],
        ["P-2201", "Rotbuche gedämpft", "A", 32, 125, 3000, 150, 1.8, 590, 1188, D(2026, 12, 1), "PEFC 100 %, XXX-PEFC-000412, gültig bis 31.10.2028"],
        ["P-2202", "Esche, europ.", "A", 26, 150, 2500, 160, 1.56, 800, 1404, D(2026, 12, 1), "FSC Mix 70 %, XXX-COC-000877, gültig bis 30.06.2028"],
        ["P-2203", "Esche, europ.", "A", 40, 150, 3000, 100, 1.8, 835, "1.692,-", D(2027, 1, 15), "FSC Controlled Wood"],
        ["P-2204", "Pappel kanad.", None, 50, 200, 2500, 80, 2, 330, 780, D(2026, 12, 1), None],
        ["P-2205", "Birke", "A/B", 26, 100, 2000, 250, 1.3, 560, 832, D(2027, 2, 1), None],
        ["P-2206", "Robinie", "A", 27, 100, 2000, 150, 0.81, 1010, "verkauft", None, None],
        ["P-2207", "Rotbuche natur", "B", 50, 120, 2000, 90, 1.08, 450, 594, D(2026, 12, 1), "FSC Mix, XXX-COC-000877, gültig bis 30.06.2028"],
        [],
        ["Summe", None, None, None, None, None, None, 10.35, None, 6490],
    ]))
    ws = wb.active
    for area in ("A4:A5", "B4:C4", "D4:F4", "G4:G5", "L4:L5"):
        ws.merge_cells(area)
    for row in (4, 5):
        for cell in ws[row]:
            cell.font, cell.alignment, cell.border = BOLD, Alignment(horizontal="center", wrap_text=True), Border(bottom=Side("thin"))
    for row in range(6, 15):
        ws.cell(row=row, column=8).number_format = "0.000"
        ws.cell(row=row, column=10).number_format = '#,##0.00'
    ws.column_dimensions["I"].hidden = True
    bold(ws, 1, 14)
    save(wb, "d-de-paketliste")


def de_furnier():
    wb = book(("Lamellen", [
        ["Furnier- und Lamellenwerk Steinriegel AG (erfunden), Kanton Musterland"],
        ["Preise in CHF ab Werk, exkl. MWST, Holzfeuchte 8 %"],
        [],
        ["1) Sägefurnier, besäumt"],
        ["Holzart", "Stärke", "Breite", "Länge", "CHF/m²", "Bemerkung"],
        ["Esche A", "1,5 mm", "150 mm +", "2'500", 1.95, None],
        ["Zuckerahorn", "1,5 mm", "120 mm +", "2'500", 3.3, "hell"],
        ["Buche gedämpft A", "2,0 mm", "140 mm +", "2'500", 1.8, None],
        ["Nussbaum amerik.", "0,9 mm", "120 mm +", "2'500", 4.5, None],
        [],
        ["2) Rohlamellen, sägerau, in Fixmassen"],
        ["Holzart", "Stärke", "Breite", "Länge", "CHF/100 lfm", "Bemerkung"],
        ["Rotbuche", "12 mm", 60, "2'000", 64.8, None],
        ["Esche", "10 mm", 65, "2'100", 78, None],
        ["Bambus (Moso), horizontal verleimt", "8 mm", 55, "1'900", 70.4, None],
        ["Birke", "12 mm", 60, "2'000", "a. A.", "ab Februar wieder"],
        [],
        ["3) Rohlamellen in Grossmengen"],
        ["Holzart", "Stärke", "Breite", "Länge", "CHF/1000 lfm", "Bemerkung"],
        ["Pappel", "15 mm", 80, "2'000", 504, "ab 5000 lfm"],
        ["Robinie A", "10 mm", 50, "2'000", 625, None],
        [],
        ["Zuschnitt je Schnitt", None, None, None, 0.35, None],
        ["Es gelten unsere Verkaufsbedingungen. Mindestauftrag CHF 250.-"],
    ]))
    ws = wb.active
    bold(ws, 1, 4, 5, 11, 12, 18, 19)
    for row in list(range(6, 10)) + list(range(13, 24)):
        ws.cell(row=row, column=5).number_format = "0.00"
    save(wb, "d-de-furnier-lamellen", "ods")


def nl_importeur():
    wb = book(("Prijslijst", [
        ["Zuiderhout Import BV (fictief) – voorraad december"],
        ["Prijzen af magazijn, exclusief 21 % btw. Facturatie in EUR; USD alleen ter indicatie (koers 1,09)"],
        [],
        ["Houtsoort", "Kwaliteit", "Dikte", "Breedte", "Lengte", "Vochtgehalte", "EUR/m³", "USD/m³", "Keurmerk"],
        ["Amerikaans essen", "FAS", 26, "150-250", "2,4-4,2 m", "KD 8-10%", "1.180", "1.286", "FSC Mix"],
        ["Hard maple, wit", "Select & Better", 32, "130+", "2,4 m", "KD 8-10%", "1.540", "1.679", None],
        ["Tulpenboom", "FAS", 52, "150+", "3,0 m", "KD 8-10%", "870", "948", None],
        ["Ayous", "FAS", 41, 150, "3,0 m", "KD 10-12%", "960", "1.046", "FSC 100%"],
        ["Balsa, licht (Ecuador)", "AA", 50, 100, "1,0 m", None, "2.350", "2.562", "FSC Controlled Wood"],
        ["Hickory", "FAS", 26, 130, "2,4 m", "KD 8-10%", "op aanvraag", None, None],
        ["Amerikaans rood eiken", "Prime", 26, 150, "2,4 m", "KD 8-10%", "1.310", "1.428", None],
        ["Western red cedar", "clear", 25, 150, "3,6 m", "KD 12%", "1.690", "1.842", "PEFC 100%"],
        [],
        ["FSC-certificaat XXX-COC-000231, geldig t/m 14-05-2028. PEFC-certificaat XXX-PEFC-000077, geldig t/m 30-06-2026."],
        ["Aanbieding vrijblijvend, tussentijdse verkoop voorbehouden."],
    ]))
    ws = wb.active
    bold(ws, 1, 4, fill="F8CBAD")
    for row in range(5, 13):
        for c in (7, 8):
            ws.cell(row=row, column=c).alignment = Alignment(horizontal="right")
    ws.freeze_panes = "B5"
    save(wb, "d-nl-importeur-valuta")


def nl_makelaar():
    wb = book(("Restpartijen", [
        ["Houtmakelaardij Van der Plank (fictief) – restpartijen Europees loofhout"],
        ["Prijzen excl. btw, af loods"],
        [],
        ["Partij", "Omschrijving", "Dikte", "Breedte", "Lengte", "Vocht", "€/m³ 2025", "€/m³ 2026", "Voorraad m³"],
        [101, "Beuken gestoomd A", 27, 120, "2,50", "KD 10%", 690, 715, 12.4],
        [102, "Beuken ongestoomd B", 41, 150, "3,00", "AD", 505, 520, 8],
        [103, "Essen wit, kantrecht", 32, 150, "2,50", "KD 10%", 940, 985, None],
        [104, "Berken A/B", 26, 100, "2,00", "KD 10%", 700, "op aanvraag", None],
        [105, "Populier", 52, 180, "3,05", "vers", 340, 355, 30],
        [106, "Robinia", 27, 100, "2,00", "AD", 1120, 1150, None],
        [107, "Elzen A", 32, 120, "2,50", "KD 10%", 610, 640, 3.2],
        [],
        ["Geschaafde planken, prijs in €/m² per cm dikte"],
        [None, "Omschrijving", "Dikte", "Breedte", "Lengte", None, None, "€/m² per cm"],
        [None, "Populier", 20, 140, "2,10", None, None, 4.35],
        [None, "Berken", 15, 90, "2,10", None, None, 8.2],
        [],
        ["2025 = prijs vorig jaar, ter vergelijking. Op is op."],
    ]))
    bold(wb.active, 1, 4, 13, 14)
    for row in wb.active.iter_rows(min_row=5, max_row=11, min_col=7, max_col=7):
        row[0].font = Font(color="808080", italic=True)
    save(wb, "d-nl-makelaar-jaren", "xls")


def da_savvaerk():
    wb = book(("Prisliste", [
        ["Bøgelund Savværk ApS (opdigtet) – prisliste nr. 7"],
        ["Alle priser i DKK pr. m³ ekskl. moms, ab savværk. Kantskåret vare."],
        [],
        ["Kvalitet", "Tykkelse", "Bredde", "Længde", "Fugtighed", "Pris", "På lager m³", "Leveres fra"],
        ["BØG, dampet"],
        ["A", 26, 125, 2500, "8-10 %", "5.250,-", 4.5],
        ["A", 33, 125, 2500, "8-10 %", "5.480,-"],
        ["B", 26, 100, 2000, "8-10 %", "4.150,-", None, D(2027, 1, 11)],
        ["ASK, lys"],
        ["A", 26, 150, 3000, "ovntørret 8 %", "7.400,-", 3],
        ["A", 40, 150, 3000, "lufttørret", "6.200,-"],
        ["BIRK"],
        ["A/B", 26, 100, 2400, "8-10 %", "5.050,-"],
        ["B", 32, 100, 2400, "8-10 %", "udsolgt"],
        ["POPPEL"],
        [None, 50, 175, 2500, "frisk", "2.900,-", 22],
        [],
        ["Vinterrabat: 6 % trækkes fra alle priser i listen."],
        ["Listen gælder til og med 31-01-2027."],
        ["Fragt på Sjælland", None, None, None, None, "450,- pr. palle"],
    ]))
    ws = wb.active
    bold(ws, 1, 4)
    for row in (5, 9, 12, 15):
        bold(ws, row, fill="FFF2CC")
    ws.column_dimensions["A"].width = 14
    save(wb, "d-da-savvaerk", "xlsx")


def sv_sagverk():
    cert, until = "XXX-COC-000551", D(2028, 3, 31)
    wb = book(("Lager", [
        ["Ekskogens Såg AB (påhittad)"],
        ["Lagerlista v. 49 – priser i SEK per m³ exkl. moms, fritt vår såg"],
        [],
        ["Vara", None, "Dimension (mm)", None, None, "Fuktkvot", "Pris", "Certifiering"],
        ["Träslag", "Sort", "tj", "br", "längd", None, "kr/m³", "Märkning", "Nr", "Giltigt t.o.m."],
        ["Björk", "I", 25, 100, 2400, "8 %", 6200, "FSC 100 %", cert, until],
        ["Björk", "II", 32, 125, 3000, "8 %", 5400, "FSC Mix 70 %", cert, until],
        ["Bok, basad", "I", 27, 120, 2500, "8-10 %", 7900, "PEFC 100 %", "XXX-PEFC-000118", D(2026, 9, 30)],
        ["Ask", "I", 40, 150, 3000, "torkad", 9800, "FSC Controlled Wood", "XXX-CW-000090", D(2027, 12, 31)],
        ["Asp", "II", 50, 150, 2700, "färsk", 3600],
        ["Poppel", "II", 50, 200, 2700, "färsk", 3300],
        ["Hickory (USA)", "FAS", 26, 130, 2440, "8 %", 21500, "FSC Mix", cert, until],
        ["Robinia", "I", 27, 100, 2000, "12 %", "slut"],
        [],
        ["Klyvning per snitt", None, None, None, None, None, "85 kr"],
        ["Frakt enligt offert. Vi reserverar oss för slutförsäljning."],
    ]))
    ws = wb.active
    for area in ("A4:B4", "C4:E4", "F4:F5", "H4:J4"):
        ws.merge_cells(area)
    bold(ws, 1, 4, 5, fill="DDEBF7")
    for row in range(6, 14):
        ws.cell(row=row, column=10).number_format = "YYYY-MM-DD"
        ws.cell(row=row, column=7).number_format = "#\\ ##0"
    save(wb, "d-sv-sagverk-cert")


def sv_gardssag():
    text("d-sv-gardssag", "\r\n".join([
        "Gårdssågen i Lövhult (påhittad) – priser i SEK exkl. moms\t\t\t\t\t",
        "Artikel\tDimension\tLängd\tEnhet\tÀ-pris\tObs",
        "Björk\t22x95\t2,4 m\tkr/lpm\t14,63\t",
        "Björk\t32x100\t3,0 m\tkr/lpm\t21,12\tsort I",
        "Ask\t26x120\t2,5 m\tkr/st\t74,10\t",
        "Bok basad\t30x70\t1,0 m\tkr/bunt (20 st)\t336,00\t",
        "Poppel\t45x145\t2,7 m\tkr/m³\t3100,00\tfärsk",
        "Ask ribb\t6x60\t2,0 m\tkr/100 lpm\t342,00\t",
        "Björk hyvlad\t20x90\t3,0 m\tkr/lpm\t17,10\tinkl. moms",
        "Björk restbitar\t\t\tkr/säck\t60,00\tved",
        "Körning inom 3 mil\t\t\tkr/gång\t400,00\t",
        "",
    ]), "utf-16")


def sk_pila():
    wb = book(("Cenník", [
        ["Píla Podhorie s.r.o. (vymyslená)"],
        ["Cenník omietaného reziva, platný do 31.3.2027"],
        [],
        ["Drevina", "Akosť", "Hrúbka", "Šírka", "Dĺžka", "Cena bez DPH", "Cena s DPH 23 %", "Cena bez DPH nad 5 m³", "Sklad"],
        [None, None, "mm", None, None, "€/m³", "€/m³", "€/m³", "m³"],
        ["Buk parený", "A", 25, 120, 2500, 640, 787.2, 615, 12],
        ["Buk parený", "B", 32, 120, 2500, 520, 639.6, 500, 7.5],
        ["Buk neparený", "A/B", 50, 150, 3000, 495, 608.85, None, None],
        ["Jaseň", "A", 32, 150, 3000, 980, 1205.4, 945, 4],
        ["Breza", "B", 26, 100, 2000, 560, 688.8, None, None],
        ["Topoľ kanadský", None, 50, 180, 2500, 330, 405.9, 310, 20],
        ["Agát", "A", 27, 100, 2000, "na dopyt", None, None, None],
        ["Spolu", None, None, None, None, None, None, None, 43.5],
        ["Doprava do 100 km", None, None, None, None, "1,20 €/km"],
    ]))
    bold(wb.active, 1, 4, 5)
    for row in wb.active.iter_rows(min_row=6, max_row=12, min_col=6, max_col=8):
        for cell in row:
            cell.number_format = '#,##0.00'
    save(wb, "d-sk-pila-dph", "xlsx")


def sl_zaga():
    wb = book(("Bukev", [
        ["Žaga Pod Lipo (izmišljena) – parjena, sušena 8 %"],
        ["Cene v €/m³ brez DDV"],
        ["Debelina (mm)", "Širina (mm)", "Dolžina 2,0 m", "Dolžina 3,0 m", "Dolžina 4,0 m"],
        [26, 100, 545, 590, 610],
        [32, 120, 560, 605, "po dogovoru"],
        [40, 150, None, 650, 675],
    ]), ("Jesen", [
        ["Žaga Pod Lipo (izmišljena) – okrajčen, sušen 8 %"],
        ["Cene v €/m³ brez DDV"],
        ["Debelina (mm)", "Širina (mm)", "Dolžina 2,0 m", "Dolžina 3,0 m"],
        [26, 120, 860, 910],
        [50, 150, 940, 995],
    ]), ("Javor", [
        ["Debelina (mm)", "Širina (mm)", "Dolžina (m)", "Cena €/m³ brez DDV"],
        [32, 120, "2,5", 780],
    ]), ("Robinija", [
        ["Debelina", "Širina", "Dolžina", "Cena €/m³ brez DDV", "Dobava"],
        [27, 100, 2000, 1120, "takoj"],
        [27, 120, 2500, 1180, "od 15. 2. 2027"],
        [27, 120, 3000, "razprodano", None],
    ]), ("Pogoji", [
        ["Plačilo 30 dni, prevzem na žagi."],
        ["Dostava do 50 km: 90 €"],
    ]))
    for ws in wb.worksheets[:2]:
        ws.merge_cells("A1:E1")
        bold(ws, 1, 3)
    save(wb, "d-sl-zaga-listi")


def hu_furesz():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "d-hu-furesz-eft.xlsx"))
    ws = wb.add_worksheet("Árlista")
    b, one = wb.add_format({"bold": 1, "bottom": 1, "text_wrap": 1}), wb.add_format({"num_format": "0.0"})
    rows = [
        ["Kerekerdő Fűrészüzem Kft. (kitalált)"],
        ["Szélezett fűrészáru – nettó árak ezer Ft / m³ (+27 % ÁFA), telepen átvéve"],
        ["Érvényes 2026.12.31-ig"],
        [],
        ["Fafaj", "Minőség", "Vastagság", "Szélesség", "Hosszúság", "Nedvesség", "Nettó eFt/m³", "Készlet m³", "Szállítható"],
        ["Bükk, gőzölt", "I. o.", 27, 120, "2,5 m", "8-10 %", 268, 9.5],
        ["Bükk, gőzölt", "II. o.", 32, 120, "2,5 m", "8-10 %", 221.5],
        ["Kőris", "I. o.", 32, 150, "3 m", "8-10 %", 372],
        ["Akác", "I. o.", 27, 100, "2 m", "10 %", 415, 3],
        ["Akác", "II. o.", 27, "80-120", "1-2 m", "légszáraz", 298],
        ["Nemesnyár", None, 50, 180, "3 m", "friss", 118, 25, "2027.01.20-tól"],
        ["Nyír", "I. o.", 26, 100, "2 m", "8-10 %", "elfogyott"],
        ["Vörös tölgy", "I. o.", 27, 150, "2,5 m", "8-10 %", 395],
        [],
        ["Házhoz szállítás", None, None, None, None, None, "0,45 eFt/km"],
    ]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            if v is not None:
                ws.write(r, c, v, b if r in (0, 4) else one if c == 6 and not isinstance(v, str) else None)
    ws.set_column("A:A", 18)
    ws.set_landscape()
    wb.close()


def ja_mokuzai():
    text("d-ja-shinzai", "\r\n".join([
        "架空木材株式会社　スキー芯材用板材価格表（2026年12月）,,,,,,,,",
        "単価は円/m3、消費税10%込み、倉庫渡し,,,,,,,,",
        "樹種,等級,厚さ(mm),巾(mm),長さ(mm),含水率,単価,在庫(m3),入荷予定",
        'ハードメープル,セレクト&ベター,26,130,2400,KD 8%,"253,000",4.2,',
        'ホワイトアッシュ（米国産）,FAS,32,150,2400,KD 8%,"220,000",,2027/1/15',
        '欧州ブナ（蒸煮）,A,27,120,2500,KD 10%,"143,000",6,',
        '桐,上,30,120,2000,天乾,"198,000",2.5,',
        'バルサ（軽量）,,25,100,1000,,"385,000",,',
        '竹集成材（孟宗竹）,,20,100,1900,,"330,000",,2027/2/1',
        'ヒッコリー,FAS,26,130,2400,KD 8%,売切,,',
        'シトカスプルース,柾目,40,150,3000,KD 12%,"407,000",1.1,',
        '運賃（関東一円）,,,,,,"18,000",,',
        "有効期限：2027年1月31日,,,,,,,,",
        "",
    ]), "cp932")


def en_us_mill():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "d-en-us-mill-mbf.xlsx"))
    ws = wb.add_worksheet("Price List")
    title, band, usd = wb.add_format({"bold": 1, "font_size": 13}), wb.add_format({"bold": 1, "bg_color": "#C6E0B4"}), wb.add_format({"num_format": '"$"#,##0'})
    rows = [
        ["Blue Hollow Hardwoods LLC (fictional) - kiln dried lumber, rough"],
        ["Prices US$ per MBF, FOB mill. Widths 6\" and wider, lengths 8' - 12'. KD 6-8%"],
        [],
        ["Thickness", "Sel & Btr", "No. 1 Com", "No. 2A Com"],
        ["HARD MAPLE, white"],
        ["4/4", 3150, "1,960", 1180],
        ["5/4", 3300, 2050, "call"],
        ["8/4", 3850, 2450],
        ["WHITE ASH"],
        ["4/4", 2250, 1500],
        ["6/4", 2600, 1720],
        ["YELLOW POPLAR"],
        ["4/4", 1150, 780, 560],
        [],
        ["Fuel surcharge, per MBF", 45],
        ["S2S to 15/16\": add $120 per MBF"],
        ["Subject to prior sale. Good thru 01/31/2027."],
    ]
    for r, row in enumerate(rows):
        for c, v in enumerate(row):
            ws.write(r, c, v, title if r == 0 else band if r in (3, 4, 8, 11) else usd if c and not isinstance(v, str) else None)
    ws.set_column("A:A", 24)
    wb.close()


def en_uk_broker():
    wb = book(("Offer", [
        ["Thornby & Wicks, timber brokers (fictional)"],
        ["Offered subject unsold, ex yard. Prices in GBP per cubic foot, plus VAT at 20%, unless another unit is shown"],
        [],
        ["Lot", "Goods", "Thick", "Wide", "Long", "MC", "Price", "Available from"],
        [1, "European Beech, steamed, prime", '1"', '6"', "8'", "KD 8-10%", 22.5, None],
        [2, "European Ash, white, prime", "32mm", "150mm", "10'", "KD 8-10%", 31, None],
        [3, "American White Ash FAS", '5/4"', '6"+', "8'-14'", "KD 8-10%", 36.75, D(2027, 1, 18)],
        [4, "Hard Maple, Select & Better", '1 1/4"', '5"+', "8'+", "KD 8-10%", 44, None],
        [5, "White Birch A/B", "26mm", "100mm", "2.4m", "KD 8-10%", 24, None],
        [6, "Tulipwood FAS", '2"', '6"+', "10'", "KD 8-10%", 19.8, D(2027, 1, 15)],
        [7, "Sitka Spruce, quarter sawn", "40mm", "120mm", "3m", "KD 12%", "£1,310 per m3", None],
        [8, "Poplar, French plantation", "52mm", "200mm", "2.5m", "AD", 9.75, None],
        [9, "European Ash laths", "8mm", "60mm", "2m", "KD 8-10%", "£0.95 each", None],
        [10, "Western Red Cedar, clear", '1"', '6"', "10'", "KD 12%", "£3.40 per ft run inc VAT", None],
        [11, "Robinia", '1"', '4"', "6'", "AD", "sold", None],
        [12, "Hickory, square edged", '1"', '6"', "8'", "KD 8-10%", 2.1, None],
        [13, "Carriage per drop", None, None, None, None, 65, None],
    ]))
    ws = wb.active
    bold(ws, 1, 4)
    for row in range(5, 18):
        ws.cell(row=row, column=7).number_format = '"£"#,##0.00'
        ws.cell(row=row, column=8).number_format = "DD/MM/YYYY"
    save(wb, "d-en-uk-broker")


if __name__ == "__main__":
    os.makedirs(OUT, exist_ok=True)
    with tempfile.TemporaryDirectory() as TMP:
        for build in (fr_scierie, fr_negoce, de_saegewerk, de_paketliste, de_furnier, nl_importeur, nl_makelaar, da_savvaerk, sv_sagverk, sv_gardssag, sk_pila, sl_zaga,
                      hu_furesz, ja_mokuzai, en_us_mill, en_uk_broker):
            build()
        for kind in sorted({k for _, k, _ in later}):
            made = os.path.join(TMP, "out-" + kind)
            paths = [p for p, k, _ in later if k == kind]
            subprocess.run(["soffice", "-env:UserInstallation=file://" + TMP + "/profile", "--headless", "--convert-to", kind, "--outdir", made] + paths, check=True, capture_output=True)
            for _, k, name in later:
                if k == kind:
                    shutil.move(os.path.join(made, name + "." + kind), os.path.join(OUT, name + "." + kind))
