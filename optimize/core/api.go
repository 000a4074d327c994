package core

// Constants are what a cross-section holds besides its strips, about the core's mid-plane.
type Constants struct {
	A0N         float64 // Σ E b t, N
	S0NMM       float64 // Σ E b t z, N·mm
	D0NMM2      float64 // Σ E (b t³/12 + b t z²), N·mm²
	ThicknessMM float64 // of the core
}
