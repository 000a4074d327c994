// Package species holds the woods: published figures with their sources, trade names, the influence of
// moisture, and the ranking of one wood against another.
//
// Density is kg/m³, moduli GPa, strengths MPa, side hardness N, rotation years. Published figures stand at
// 12 % moisture unless their source says otherwise.
//
// It knows no board, no price and no file: values in, values out.
package species
