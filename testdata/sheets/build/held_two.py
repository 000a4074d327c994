#!/usr/bin/env python3
"""Builds the sheets b-* of ../held: openpyxl, xlsxwriter, LibreOffice (one call a kind), plain text. Everything in them is invented.

Run: /usr/bin/python3 testdata/sheets/build/held_two.py. The wants beside the sheets are written by hand.
"""
import datetime, os, shutil, subprocess, tempfile
import xlsxwriter
from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

OUT = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "held"))
D = datetime.date
later = {}  # kind that LibreOffice writes: names of the books


def rows_into(ws, rows, top=1, left=1, date="DD.MM.YYYY"):
    for r, row in enumerate(rows, top):
        for c, v in enumerate(row, left):
            if v is None:
                continue
            cell = ws.cell(row=r, column=c, value=v)
            if isinstance(v, D):
                cell.number_format = date


def book(*sheets, date="DD.MM.YYYY"):
    wb = Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        rows_into(wb.create_sheet(name), rows, date=date)
    return wb


def style(ws, rows, bold=True, colour=None, italic=False):
    for r in rows:
        for cell in ws[r]:
            cell.font = Font(bold=bold, italic=italic)
            if colour:
                cell.fill = PatternFill("solid", fgColor=colour)


def formats(ws, column, fmt, first, last):
    for r in range(first, last + 1):
        cell = ws[f"{column}{r}"]
        if isinstance(cell.value, (int, float)):
            cell.number_format = fmt


def widths(ws, **w):
    for column, n in w.items():
        ws.column_dimensions[column].width = n


def save(wb, name, kind=None):
    if kind is None:
        wb.save(os.path.join(OUT, name + ".xlsx"))
        return
    wb.save(os.path.join(TMP, name + ".xlsx"))
    later.setdefault(kind, []).append(name)


def text(name, encoding, lines):
    with open(os.path.join(OUT, name + ".csv"), "wb") as f:
        f.write(("\r\n".join(lines) + "\r\n").encode(encoding))


def at_sawmill():
    wb = book(("Preisliste", [
        ["Sägewerk Unterkrummbach KG"],
        ["4999 Krummbach, Am Mühlgang 3  –  Tel. 0000 / 123 45"],
        ["Laubschnittholz besäumt. Preise in EUR/m³ netto ab Werk, gültig bis 28.02.2027"],
        [],
        ["Holzart / Güte", "Stärke", "Breite", "Länge", "Feuchte", "Preis", "Verfügbar ab", "Menge m³"],
        ["Europäische Laubhölzer"],
        ["Rotbuche A gedämpft", 27, "120-180", "3,0", "KD 8 %", 690, None, 14.5],
        ["Rotbuche A gedämpft", 33, "120-180", "3,0", "KD 8 %", 725, D(2026, 12, 15), 8],
        ["Rotbuche B ungedämpft", 33, "100-160", "2,5", "KD 10 %", 540, None, 22],
        ["Esche weiß A", 33, "130-200", "3,0", "KD 8 %", 940, "10.01.2027", 5.2],
        ["Birke A/B", 27, "100-150", "2,5", "AD", "610,-", "sofort", 6],
        ["Robinie", 27, "90-140", "2,0", "frisch", 880, None, 3.5],
        ["Importware USA"],
        ["Weißesche FAS", 26, "150-250", "3,05", "KD 8 %", "1.480,-", D(2027, 2, 1), 9],
        ["Hickory FAS", 26, "150-250", "3,05", "KD 8 %", "ausverkauft", None, 0],
        [],
        ["Summe Lager", None, None, None, None, None, None, 68.2],
        ["Hobeln 2-seitig", None, None, None, None, 45],
        ["Alle Preise zuzügl. 20 % MwSt. Zwischenverkauf vorbehalten."],
    ]))
    ws = wb.active
    for r in (6, 13):
        ws.merge_cells(f"A{r}:H{r}")
        ws[f"A{r}"].font, ws[f"A{r}"].fill = Font(bold=True), PatternFill("solid", fgColor="E2EFDA")
    ws["A1"].font = Font(bold=True, size=15)
    style(ws, [5], colour="C6E0B4")
    formats(ws, "F", "#,##0.00", 7, 18)
    widths(ws, A=26, G=13)
    ws.freeze_panes = "A6"
    save(wb, "b-at-sawmill")


def ch_yard():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "b-ch-yard.xlsx"))
    ws = wb.add_worksheet("Sortiment 26-27")
    bold, money = wb.add_format({"bold": True}), wb.add_format({"num_format": "#'##0.00"})
    grey = wb.add_format({"bold": True, "bg_color": "#D9D9D9"})
    ws.write("B1", "Holzhandlung Zwirnegg AG", bold)
    ws.write("B2", "Alle Preise in CHF inkl. 8.1 % MWST, ab Lager")
    for c, h in enumerate(["Art.-Nr.", "Bezeichnung", None, "Einheit", "Preis", "Bemerkung"]):
        if h:
            ws.write(3, c, h, bold)
    ws.merge_range("A5:F5", "Einheimische Hölzer (CH / EU)", grey)
    lines = [
        (10101, "Buche gedämpft A 32×150×3'000", "m³", 1189.10, None),
        (10102, "Buche gedämpft A 40×150×3'000", "m³", 1243.15, "KD 8 %"),
        (10203, "Esche weiss A/B 32×180×3'000", "m³", 1567.45, None),
        (10204, "Esche braun 26×140×2'500", "m²", 41.30, "solange Vorrat"),
        (10305, "Birke A 26×120×2'500", "Stk.", 9.85, None),
        (10306, "Birke A roh 26×60×2'500", "100 m'", 231.50, None),
        (10307, "Birke Latten 20×20×2'000", "Bund", 48.50, None),
        (10410, "Robinie 27×100×2'000", "m³", "auf Anfrage", None),
        (10512, "Pappel kanad. 50×200×4'000", "m³", "583.74", None),
        (10900, "Transportpauschale Schweiz", "Fahrt", 180, None),
        (10901, "Zuschnitt nach Liste", "Std.", 96, None),
    ]
    for r, (no, name, unit, price, note) in enumerate(lines, 5):
        ws.write(r, 0, no)
        ws.write(r, 1, name)
        ws.write(r, 3, unit)
        if isinstance(price, str):
            ws.write_string(r, 4, price)
        else:
            ws.write_number(r, 4, price, money)
        if note:
            ws.write(r, 5, note)
    ws.write("B18", "2 % Skonto bei Zahlung innert 10 Tagen. Es gelten unsere AGB.")
    ws.set_column("B:B", 38)
    ws.set_column("C:C", 2)
    wb.close()


def it_sawmill():
    wb = book(("Listino", [
        ["Segheria Valpiccola s.n.c."],
        ["Listino prezzi in €/mc, IVA esclusa, franco segheria - valido fino al 31/01/2027"],
        [],
        ["FAGGIO EVAPORATO - 1ª scelta, refilato, essiccato 8-10%, lunghezza 300 cm"],
        ["Larghezza cm", "Spessore mm"],
        [None, 25, 32, 40, 52],
        [12, 640, 660, 690, 730],
        [15, 670, 695, 725, 770],
        [],
        ["FRASSINO EUROPEO - A/B, refilato, stagionato, lunghezza 250 cm"],
        ["Larghezza cm", "Spessore mm"],
        [None, 25, 32, 40],
        [12, 980, "1.010", "esaurito"],
        [16, "1.050", "1.090", "1.150"],
        [],
        ["Supplemento piallatura 4 lati", 60],
        ["Ordine minimo 3 mc. Prezzi per merce pronta salvo venduto."],
    ]))
    ws = wb.active
    for a in ("A1:E1", "A2:E2", "A4:E4", "A10:E10", "B5:E5", "B11:D11", "A5:A6", "A11:A12"):
        ws.merge_cells(a)
    style(ws, [4, 10], colour="F8CBAD")
    thin = Side(style="thin")
    for row in ws["A5:E8"]:
        for cell in row:
            cell.border = Border(left=thin, right=thin, top=thin, bottom=thin)
    widths(ws, A=30)
    save(wb, "b-it-sawmill", "xlsx")


def it_broker():
    text("b-it-broker", "cp1252", [
        "Commerciale Legnami Borgofinto S.r.l.;;;;;",
        "Offerta n. 118/26 del 24/11/2026 - prezzi in € netti, IVA esclusa;;;;;",
        ";;;;;",
        "Cod.;Descrizione;U.M.;Prezzo;Disp. dal;Note",
        "FA32;Faggio evaporato A 32x150x3000;mc;685,00;;PEFC 100% - XXX-COC-000417 - scade 30/06/2028",
        "FR32;Frassino europeo A/B 32x160x3000 ess. 8%;mc;1.040,00;15/01/2027;",
        "FR26;Frassino europeo 26x120x2500;pz;8,90;;",
        "BE26;Betulla 26x120;pz;7,40;;",
        "PI40;Pioppo fresco 40x200x4000;mc;295,00;07/12/2026;",
        "PI20;Pioppo 20x150x2500;ml;1,35;;",
        "RO27;Robinia 27x100x2000;mq;28,50;;",
        "AY52;Ayous FAS 52x150-250x3000 Camerun;mc;790,00;pronto;",
        "BE32;Betulla A 32x120x2500;mc;a richiesta;;\"qualità \"\"falegnameria\"\"\"",
        ";Trasporto bilico completo;viaggio;650,00;;",
        ";;;;;",
        "Pagamento 60 gg d.f.f.m. - merce salvo venduto;;;;;",
    ])


def es_sawmill():
    wb = book(("Tarifa", [
        ["ASERRADERO LA HOYA VIEJA, S.L."],
        ["Tarifa nº 9 - todos los precios con IVA 21 % incluido"],
        [],
        ["Madera y calidad", "Sección", "Largo", "Precio", "Existencias"],
        [None, "mm", "m", "€/100 m.l.", None],
        ["Haya vaporizada 1ª", "30x100", 2.5, 326.70, "sí"],
        ["Haya vaporizada 2ª", "30x80", 2.1, 203.28, "sí"],
        ["Chopo limpio", "40x150", 2.5, 254.10, "sí"],
        ["Fresno europeo 1ª", "26x120", 2.5, 452.98, "pocas"],
        ["Abedul", "26x100", 2, 290.40, "sí"],
        ["Robinia", "27x90", 2, "agotado", "no"],
        [],
        ["TABLÓN DE CHOPO"],
        ["Grueso mm", "Ancho mm", "Largo m", "€/m³", "Secado"],
        [52, 200, 4, 411.40, "verde"],
        [65, 250, 4, 435.60, "al aire"],
        [],
        ["Portes y descarga", None, None, 120],
        ["Precios válidos hasta el 31 de enero de 2027 salvo error tipográfico."],
    ]))
    ws = wb.active
    style(ws, [4, 5, 13, 14], colour="FFF2CC")
    formats(ws, "D", '#,##0.00 "€"', 6, 18)
    formats(ws, "C", "0.00", 6, 16)
    widths(ws, A=24, D=14)
    save(wb, "b-es-sawmill", "xls")


def ec_balsa():
    cert, cw, old = "FSC 100% XXX-COC-000788", "FSC Controlled Wood XXX-CW-000788", "FSC 100% XXX-COC-000790"
    wb = book(("COTIZACION", [
        ["BALSERA RÍO QUIMERA CÍA. LTDA."],
        ["Cotización 0412-26  -  FOB Guayaquil, US$ por pie tablar (BF), madera seca al horno 8-12%"],
        [],
        ["Producto", "Densidad kg/m³", "Espesor", "Ancho", "Largo", "US$/BF", "Certificado", "Vence"],
        ["Balsa liviana seca", "100-130", '2"', '4"', "4'", 1.95, cert, D(2029, 4, 30)],
        ["Balsa media seca", "130-160", '2"', '4"', "4'", 1.72, cert, D(2029, 4, 30)],
        ["Balsa media seca", "130-160", '2"', '4"', "3'", 1.60, old, D(2026, 6, 30)],
        ["Balsa pesada seca", "160-200", '2"', '3"', "3'", 1.35, cw, D(2028, 1, 15)],
        ["Balsa en bruto", "120-180", '1 1/2"', '3"', "3'", 1.2, None, None],
        ["Ceiba en bruto", None, '2"', '6"', "8'", 0.78, None, None],
        ["Balsa A, bloques encolados", None, None, None, None, "a consultar", None, None],
        [],
        ["SALDO - precio por MBF (mil pies tablares)"],
        ["Producto", "Densidad kg/m³", "Espesor", "Ancho", "Largo", "US$/MBF"],
        ["Balsa mixta en bruto", "100-220", '2"', '3"', "2'", 1180],
        [],
        ["Estiba y fumigación por contenedor", None, None, None, None, 450],
        ["Oferta válida 15 días. Pago 50% anticipo."],
    ]), date="YYYY-MM-DD")
    ws = wb.active
    ws.merge_cells("A1:H1")
    ws.merge_cells("A2:H2")
    ws.merge_cells("A13:H13")
    ws["A1"].alignment = Alignment(horizontal="center")
    style(ws, [4, 14], colour="BDD7EE")
    formats(ws, "F", "[$$-409]#,##0.00", 5, 17)
    widths(ws, A=30, B=15, G=34, H=12)
    save(wb, "b-ec-balsa")


def nl_importer():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "b-nl-importer.xlsx"))
    ws = wb.add_worksheet("Prijslijst")
    bold, title = wb.add_format({"bold": True, "bottom": 1}), wb.add_format({"bold": True, "align": "center", "bg_color": "#FCE4D6"})
    ws.write("A1", "Houthandel De Verzonnen Kade B.V.")
    ws.write("A2", "Prijzen per m³ in euro excl. btw, af loods. Geldig t/m 31-12-2026. Alles KD 8-10%")
    ws.merge_range("A4:F4", "EUROPEES LOOFHOUT", title)
    ws.merge_range("H4:N4", "NOORD-AMERIKAANS LOOFHOUT", title)
    left = [
        ["Houtsoort", "Kwal.", "Dikte", "Breedte", "Lengte", "€/m³"],
        ["Beuken gestoomd", "A", 32, 150, 3000, 715],
        ["Beuken ongestoomd", "B", 27, 120, 2500, 560],
        ["Essen wit", "A", 32, 160, 3000, 985],
        ["Populier", None, 50, 200, 4000, 430],
        ["Berken", "A/B", 27, 120, 2500, 690],
        ["Berken", "C", 27, 100, 2000, "op aanvraag"],
    ]
    right = [
        ["Houtsoort", "Grade", "Dikte", "Breedte", "Lengte", "€/m³", "FSC"],
        ["Essen wit (White Ash)", "FAS", 26, "150+", 3050, 1390, "FSC Mix 70%"],
        ["Hard Maple", "Select & Better", 26, "125+", 2440, "1,310", "-"],
        ["Tulpenhout", "FAS", 32, "150+", 3050, 1180, "FSC 100%"],
        ["Hickory", "FAS", 26, "150+", 3050, "1,345", "CW"],
        ["Rood eiken", "FAS", 26, "150+", 3050, 1240, "-"],
    ]
    for r, row in enumerate(left, 4):
        for c, v in enumerate(row):
            if v is not None:
                ws.write(r, c, v, bold if r == 4 else None)
    for r, row in enumerate(right, 4):
        for c, v in enumerate(row, 7):
            ws.write(r, c, v, bold if r == 4 else None)
    ws.write("H13", "FSC-certificaat XXX-COC-000233, geldig tot 14-03-2029. CW = Controlled Wood")
    ws.write("A14", "Kraanlossing € 65,- per vracht; brandstoftoeslag 4%.")
    ws.set_column("A:A", 20)
    ws.set_column("G:G", 3)
    ws.set_column("H:H", 24)
    wb.close()


def nl_veneer():
    text("b-nl-veneer", "utf-8-sig", [
        "Fineerschaverij Nergenshuizen;;;;;",
        "Zaagfineer, gesneden en geschild fineer - december 2026 - excl. btw;;;;;",
        "Houtsoort;Bewerking;Dikte;Breedte cm;Lengte cm;Prijs €/m²",
        "Essen Eur.;gezaagd;2,5;12-18;250;6,90",
        "Beuken gestoomd;gesneden;1,5;15;280;2,85",
        "Berken;geschild;1,5;60;150;2,10",
        "Hard maple;gezaagd;3,0;12;250;9,60",
        "Populier;geschild;2,2;62;155;1,45",
        "Bamboe moso side pressed;plaat;5,0;40;250;14,75",
        "Noten Amerikaans;gesneden;0,6;18;260;3,90",
        "Essen Eur. restpartij;gezaagd;2,5;12;100;uitverkocht",
        ";;;;;",
        "Particuliere verkoop, prijzen incl. btw;;;;;",
        "Beuken gestoomd;gezaagd;4,0;10;200;11,50",
        "Essen Eur.;gezaagd;4,0;10;200;13,80",
        ";;;;;",
        "Verpakking per pallet;;;;;17,50",
    ])


def dk_sawmill():
    wb = book(("Prisliste", [
        ["Tøvkær Savværk ApS, Tøvkærvej 7, 9999 Tøvkær, Danmark"],
        ["Kantskåret, ovntørret 8-10 %. Kr. pr. m³ ekskl. moms ab savværk"],
        [],
        ["Træsort", "Kvalitet", "Tykkelse", "Bredde", "Længde", "Pris", None, "Leveres fra"],
        [None, None, "mm", "mm", "m", 2025, 2026, None],
        ["Bøg, dampet", "A", 32, 150, 3, 4950, 5200, None],
        ["Bøg, dampet", "B", 26, 120, 2.4, 3900, 4050, None],
        ["Ask", "A", 38, 160, 3, 6800, 7250, D(2027, 1, 11)],
        ["Ask, brunkernet", "B", 26, 120, 2.4, 5900, 5750, None],
        ["Birk", "A/B", 26, 125, 2.4, None, 5400, D(2026, 12, 14)],
        ["Poppel", None, 50, 200, 4.2, 2900, 3050, None],
        ["Eg", "A", 26, 150, 3, 11500, 12400, None],
        ["Robinie", None, 27, 100, 2, 7100, "udsolgt", None],
        [],
        ["Fragt pr. palle", None, None, None, None, 450, 475],
        ["Priserne for 2026 gælder til 31-01-2027."],
    ]), date="DD-MM-YYYY")
    ws = wb.active
    ws.merge_cells("F4:G4")
    style(ws, [4, 5], colour="DDEBF7")
    for c in "FG":
        formats(ws, c, "#,##0", 6, 15)
    formats(ws, "E", "0.0", 6, 13)
    widths(ws, A=20, H=13)
    save(wb, "b-dk-sawmill", "ods")


def no_yard():
    wb = book(
        ("Bjørk", [
            ["Skogvik Trelast AS - norsk bjørk, tørket 8 %"],
            ["NOK pr. løpemeter eks. mva"],
            [],
            ["Dimensjon", "Sortering", "Lengde"],
            ["mm", None, "2,4 m", "3,0 m", "3,6 m"],
            ["28x95", "A", 21.5, 22.9, 24.5],
            ["28x120", "A", 28.9, 30.5, "utgått"],
            ["34x120", "B", 25.2, 26.8, None],
        ]),
        ("Ask", [
            ["Skogvik Trelast AS - europeisk ask"],
            ["NOK pr. 1000 løpemeter eks. mva"],
            [],
            ["Dimensjon", "Lengde", "Fuktighet", "Pris", "Tilgjengelig fra"],
            ["28x120", "3,0 m", "KD 8 %", 39500, D(2026, 12, 20)],
            ["28x145", "3,0 m", "KD 8 %", 48700, D(2027, 1, 15)],
            ["34x145", "3,6 m", "AD", 51900, None],
        ]),
        ("Ask 2025", [
            ["Skogvik Trelast AS - europeisk ask"],
            ["NOK pr. 1000 løpemeter eks. mva"],
            [],
            ["Dimensjon", "Lengde", "Fuktighet", "Pris"],
            ["28x120", "3,0 m", "KD 8 %", 37200],
            ["28x145", "3,0 m", "KD 8 %", 45900],
        ]),
        ("Vilkår", [["Frakt Østlandet kr 1 250 pr. levering."], ["Mva 25 % kommer i tillegg."], ["Prisene gjelder til 28.02.2027."]]),
    )
    ws = wb["Bjørk"]
    ws.merge_cells("C4:E4")
    ws["C4"].alignment = Alignment(horizontal="center")
    for s in ("Bjørk", "Ask", "Ask 2025"):
        style(wb[s], [4], colour="FFE699")
    formats(wb["Ask"], "D", "# ##0", 5, 7)
    wb["Ask 2025"].sheet_state = "hidden"
    save(wb, "b-no-yard")


def se_sawmill():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "b-se-sawmill.xlsx"))
    ws = wb.add_worksheet("Lager v49")
    bold, num, day = wb.add_format({"bold": True, "text_wrap": True}), wb.add_format({"num_format": "0.00"}), wb.add_format({"num_format": "yyyy-mm-dd"})
    ws.write("A1", "Hittepålunda Såg & Hyvel AB", bold)
    ws.write("A2", "Lagerlista lövträ, priser i tkr/m³ exkl. moms fritt sågen (SEK)")
    lines = [
        ["Träslag", "Tj.", "Br.", "Längd", "Fukt", "Inköp", "Pris under 5 m³", "Pris från 5 m³", "Paket m³", "Klart från"],
        ["Björk A/B", 27, 125, 3000, "KD 8 %", 6.1, 8.9, 8.5, 2.5, None],
        ["Björk A/B", 33, 150, 3000, "KD 8 %", 6.3, 9.3, 8.85, 2.5, D(2027, 1, 18)],
        ["Ask prima", 33, 150, 3000, "KD 8 %", 9.9, 13.4, 12.9, 2, None],
        ["Bok ångad A", 33, 150, 2700, "KD 10 %", 7, 9.75, 9.4, 2, "2026-12-21"],
        ["Poppel", 50, 200, 4000, "rå", 3.1, 4.6, 4.35, 3, None],
        ["Robinia", 27, 100, 2000, "AD", 10.5, 14.2, "offereras", 1, None],
        ["Asp", 27, 125, 3000, "KD 8 %", 4.9, 7.1, 6.8, 2.5, None],
        ["Björk kvist", 27, 100, 2000, "AD", 3.2, "slut", None, 2.5, None],
    ]
    for r, row in enumerate(lines, 3):
        for c, v in enumerate(row):
            if v is None:
                continue
            if isinstance(v, D):
                ws.write_datetime(r, c, datetime.datetime(v.year, v.month, v.day), day)
            else:
                ws.write(r, c, v, bold if r == 3 else num if c in (5, 6, 7) else None)
    ws.set_column("F:F", 8, None, {"hidden": True})
    ws.set_column("A:A", 16)
    ws.set_column("J:J", 12)
    ws.write("A14", "Emballage ingår. Frakt offereras separat.")
    wb.close()


def cz_sawmill():
    text("b-cz-sawmill", "cp1250", [
        "Pila Vymyšlenka s.r.o.;;;;;;;;",
        "Ceník omítaného řeziva 12/2026. Závazná cena je v Kč, EUR jen orientačně (kurz 24,30);;;;;;;;",
        ";;;;;;;;",
        "Dřevina;Jakost;Tl. mm;Šířka;Délka;Vlhkost;Kč/m3 bez DPH;cca EUR/m3;K dispozici od",
        "Buk pařený;A;32;150;3000;8-10 %;16\xa0900;695;",
        ";B;32;120;2500;8-10 %;13\xa0200;543;",
        ";A;50;150;3000;12 %;17\xa0600;724;15.1.2027",
        "Jasan;A;32;160;3000;8-10 %;24\xa0500;1008;",
        ";A/B;26;120;2000;8-10 %;19\xa0900;819;ihned",
        "Bříza;;26;120;2000;mokrá;9\xa0800;403;",
        "Akát;;27;100;2000;;na dotaz;;",
        "Topol;;40;200;4000;vzduchosuchý;8\xa0400;346;20.12.2026",
        "Doprava do 100 km;;;;;;1\xa0500;62;",
        ";;;;;;;;",
        "Skladem celkem 86 m3;;;;;;;;",
    ])


def sk_packs():
    wb = book(("Sklad", [
        ["Drevosklad Vymyslená Lehota"],
        ["Ponuka balíkov - predaj len po celých balíkoch, ceny bez DPH"],
        [],
        ["Balík", "Drevina", "Rozmer mm", "ks", "m³", "Cena za balík", "Sušenie"],
        ["B-201", "Buk parený A", "32x150x3000", 120, 1.728, 1100, "8 %"],
        ["B-202", "Jaseň A/B", "32x160x3000", 96, 1.475, 1290, "8 %"],
        ["B-203", "Agát", "27x100x2000", 250, 1.35, 1420, "12 %"],
        ["B-204", "Topoľ", "50x200x4000", 40, 1.6, 520, "čerstvé"],
        ["B-205", "Breza A", "26x120x2500", 180, 1.404, 930, "8 %"],
        ["B-206", "Buk neparený B", "32x120x2500", 150, 1.44, "predané", None],
        ["Spolu", None, None, None, 8.997, 5260, None],
        [],
        ["Na všetky balíky v tabuľke platí zľava 5 % (v cenách ešte nie je odpočítaná)."],
        ["Ponuka platí do 31.12.2026."],
    ]))
    ws = wb.active
    style(ws, [4], colour="D0CECE")
    style(ws, [11])
    formats(ws, "F", '#,##0 "€"', 5, 11)
    formats(ws, "E", "0.000", 5, 11)
    widths(ws, B=18, C=14, F=14)
    save(wb, "b-sk-packs", "xlsx")


def cn_bamboo():
    ok = "FSC 100% XXX-COC-000561 有效期至2028-09-30"
    wb = book(
        ("竹材", [
            ["临溪青屏竹木制品厂 报价单"],
            ["日期：2026-11-25    单价：元/立方米，含13%增值税"],
            [],
            ["品名", "规格 长×宽×厚(mm)", "等级", "含水率", "单价", "库存(m³)", "认证"],
            ["毛竹集成材 本色侧压", "2000×100×20", "A", "8-12%", 6780, 12, ok],
            ["毛竹集成材 碳化侧压", "2000×100×20", "A", "8-12%", 6893, 8.5, ok],
            ["毛竹集成材 本色平压", "2000×120×15", "B", "8-12%", 5876, None, None],
            ["重组竹", "1860×140×20", "A", "8-12%", 7345, 20, None],
            ["毛竹集成材 本色侧压", "2440×200×40", "A", "8-12%", "缺货", 0, None],
            ["最小起订量2立方米。报价有效期至2026年12月31日。"],
        ]),
        ("木材", [
            ["单价为不含税价"],
            ["材种", "厚度mm", "宽度mm", "长度mm", "单价", "单位", "备注"],
            ["泡桐拼板", 18, 1220, 2440, 198, "元/张", None],
            ["巴沙木", 50, 100, 1220, 6200, "元/m³", "进口"],
            ["欧洲榉木 A级", 26, 150, 2500, 5350, "元/m³", None],
            ["美国白蜡木 FAS", 26, 150, 3050, 8900, "元/m³", "2027-01-10到货"],
            ["海运费", None, None, None, 1500, "元/柜", None],
        ]),
    )
    for ws, r in ((wb["竹材"], 4), (wb["木材"], 2)):
        style(ws, [r], colour="FFD966")
        formats(ws, "E", "#,##0", 3, 12)
        widths(ws, A=24, B=20, G=42)
    wb["竹材"].merge_cells("A1:G1")
    wb["竹材"].merge_cells("A2:G2")
    save(wb, "b-cn-bamboo")


def ca_mill():
    wb = book(("Dec 2026", [
        ["Lost Otter Hardwoods Ltd. - Mill price list, December 2026"],
        ["CAD per MBF, rough, KD 6-8%, FOB mill. HST extra. Prices good to January 31, 2027."],
        [],
        ["Species & grade", "Width", "Length", "4/4", "5/4", "8/4", "Available from"],
        ["Hard Maple Select & Better", '5"+', "8'", 3650, 3790, 4480, None],
        ["Hard Maple No. 1 Common", '4"+', "8'", 2250, 2340, "call", None],
        ["Yellow Birch Select & Better", '5"+', "8'", 2980, 3090, None, D(2027, 1, 11)],
        ["White Ash FAS", '6"+', "10'", 2890, 3010, 3560, None],
        ["Trembling Aspen FAS", '6"+', "10'", 1490, None, None, D(2026, 12, 18)],
        [],
        ["Narrow stock, rough - price per 100 lin. ft"],
        ["Item", "Thickness", "Width", "Length", "Price"],
        ["Hard Maple", '1"', '3"', "10'", 148],
        ["White Ash", '1 1/4"', '3"', "8'", 129],
        [],
        ["Slabs - price per sq. ft per inch of thickness"],
        ["Item", "Thickness", "Width", "Length", "Price"],
        ["White Ash live edge", '2"', '12"+', "8'", 5.25],
        ["Black Walnut live edge", '2"', '12"+', "8'", "sold out"],
        [],
        ["Fuel surcharge", None, None, None, "3%"],
        ["Delivery within 200 km", None, None, None, 275],
    ]), date="D-MMM-YY")
    ws = wb.active
    style(ws, [4, 11, 12, 16, 17], colour="E7E6E6")
    for c in "DEF":
        formats(ws, c, '"$"#,##0', 5, 9)
    formats(ws, "E", '"$"#,##0.00', 13, 22)
    widths(ws, A=30, G=14)
    save(wb, "b-ca-mill")


def ie_importer():
    wb = xlsxwriter.Workbook(os.path.join(OUT, "b-ie-importer.xlsx"))
    ws = wb.add_worksheet("Stock list")
    bold, eur = wb.add_format({"bold": True}), wb.add_format({"num_format": "€#,##0.00"})
    block = wb.add_format({"bold": True, "font_color": "#FFFFFF", "bg_color": "#375623"})
    rows = {
        0: ["Ballynowhere Timber Importers"],
        1: ["Stock list no. 31. All prices in euro, ex VAT unless stated. E&OE"],
        3: ["Description", "Thickness", "Width", "Length", "KD / AD", "€ per cu. ft", "Ready"],
        4: ["EUROPEAN HARDWOODS"],
        5: ["Beech, steamed, prime", '1"', '6"', "8'", "KD", 21.5],
        6: ["Ash, white, A", '1 1/4"', '6"', "10'", "KD", 29.9, "14/01/2027"],
        7: ["Silver birch A/B", '1"', '5"', "8'", "KD", 19.75],
        8: ["NORTH AMERICAN HARDWOODS"],
        9: ["White ash FAS", '1"', '6"+', "10'", "KD", 41.25],
        10: ["Tulipwood FAS", '1 1/2"', '6"+', "10'", "KD", 30.6, "21/12/2026"],
        11: ["Hard maple Select & Better", '1"', '5"+', "8'", "KD", "POA"],
        12: ["SOFTWOODS"],
        13: ["Western red cedar, clear", '2"', '6"', "12'", "AD", 38.5],
        14: ["Sitka spruce, homegrown", '2"', '6"', "14'", "green", 11.2],
        16: ["Bundles - sold as full bundles only, price per bundle"],
        17: ["Description", "Size mm", "Pcs", "Price €"],
        18: ["Tulipwood FAS KD", "26 x 150 x 3050", 60, 905],
        19: ["European beech steamed KD", "32 x 120 x 2500", 80, 612],
        21: ["Trade counter - each, including VAT @ 23%"],
        22: ["Description", "Size mm", "Price each"],
        23: ["Irish ash planks", "32 x 150 x 2400", 16.8],
        25: ["Cross-cutting per cut", None, 1.5],
        26: ["Minimum invoice €350. Delivery nationwide €90 + VAT."],
    }
    for r, row in rows.items():
        for c, v in enumerate(row):
            if v is None:
                continue
            kind = bold if r in (0, 3, 16, 17, 21, 22) else block if r in (4, 8, 12) else eur if isinstance(v, float) or v in (905, 612) else None
            ws.write(r, c, v, kind)
    ws.set_column("A:A", 30)
    ws.set_column("B:B", 17)
    ws.set_column("F:G", 13)
    wb.close()


TMP = tempfile.mkdtemp(prefix="held_two")
for f in (at_sawmill, ch_yard, it_sawmill, it_broker, es_sawmill, ec_balsa, nl_importer, nl_veneer, dk_sawmill, no_yard, se_sawmill,
          cz_sawmill, sk_packs, cn_bamboo, ca_mill, ie_importer):
    f()
for kind, names in later.items():
    out = os.path.join(TMP, "out-" + kind)
    subprocess.run(["soffice", "-env:UserInstallation=file://" + TMP + "/profile", "--headless", "--convert-to", kind, "--outdir", out]
                   + [os.path.join(TMP, n + ".xlsx") for n in names], check=True, capture_output=True)
    for n in names:
        shutil.move(os.path.join(out, f"{n}.{kind}"), os.path.join(OUT, f"{n}.{kind}"))
shutil.rmtree(TMP)
