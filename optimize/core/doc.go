// Package core computes what a layout of strips weighs, how it bends, and how near to its strength a load brings it.
//
// Lengths are mm, moduli GPa, strengths and stresses MPa (tension positive), forces N, masses g, bending stiffness (EI) N·m². C, the stiffness of the strips
// across the width, is N/mm. Plane sections; z up from the core's mid-plane; unequal layers shift the neutral axis.
//
// It reads no files, knows no prices and never searches: a layout in, figures out.
package core
