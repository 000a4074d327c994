package optimize

import (
	"cmp"
	"math"
	"slices"
)

// The share of fast-grown woods as an objective.
//
// It is reckoned as the volume of the fast-grown strips and pads, in 0.001 cm³, over that of the whole core. In the integer program its
// coefficients split the classes, since strips that the outline cuts differ in volume. The enumeration keeps such strips in one class and
// lists, for each count vector, the assignments in which mass and share trade off: a few where splitting multiplies the options.

// fastShare is the form that the objective and the limit on it share.
const fastShare = "fast-grown share"

// fastPad reports whether a pad's wood counts as fast-grown.
func (f *form) fastPad(wood int) bool {
	fast, known := f.p.Board.Woods[wood].FastGrown(f.p.Limits.FastUpToYears)
	return fast && known
}

// fastCoef is the fast-grown volume of one count, by variable; fastPads what pads hold, whatever the layout.
func (f *form) fastCoef() []int64 {
	coef := make([]int64, len(f.vars))
	for i, v := range f.vars {
		if f.p.Candidates[v.cand].FastGrown {
			coef[i] = f.volume[i]
		}
	}
	return coef
}

func (f *form) fastPads() (volume int64) {
	for w, v := range f.padVolume {
		if v > 0 && f.fastPad(w) {
			volume += v
		}
	}
	return volume
}

// fastVolume is the fast-grown volume of counts, pads included.
func (f *form) fastVolume(n []int64) int64 { return dot(f.fastCoef(), n) + f.fastPads() }

// shareStep is the step of share that a volume reaches: never more than there is. leastVolume is the least that reaches a step.
func (f *form) shareStep(volume int64) int64 {
	return floorDiv(volume*f.shareSteps, max(f.volumeAll, 1))
}

func (f *form) leastVolume(step int64) int64 { return -floorDiv(-step*f.volumeAll, f.shareSteps) }

func (f *form) shareObjective() objectiveForm {
	return objectiveForm{form: Share, row: fastShare, coef: f.fastCoef(), sign: -1, offset: -f.fastPads(),
		step: func(fine int64) int64 { return -f.shareStep(-fine) },
		end:  func(step int64) int64 { return -f.leastVolume(-step) }}
}

// A shareForm is the share as an enumeration handles it.
type shareForm struct {
	fast  []bool // by candidate
	form  int    // the objective's index among the forms: the volume, negated
	least int64  // volume of fast-grown strips that a limit asks for
}

func (f *form) newShareForm() *shareForm {
	s := &shareForm{least: openLow}
	for _, c := range f.p.Candidates {
		s.fast = append(s.fast, c.FastGrown)
	}
	return s
}

// without is the forms in which the groups of a class must agree: the share is not one of them.
func (s *shareForm) without(coefs [][]int64) [][]int64 {
	if s == nil {
		return coefs
	}
	return slices.Delete(slices.Clone(coefs), s.form, s.form+1)
}

// mostSplits is how many ways there may be to choose the fast-grown strips of one class, strips of equal volume taken as equal.
const mostSplits = 1 << 14

// apart splits those classes whose assignments would be too many to list, or that greedy cannot fill: by volume, from the largest on.
func (s *shareForm) apart(e *enumeration, members [][]int) [][]int {
	if s == nil {
		return members
	}
	var out [][]int
	for _, m := range members {
		m = slices.Clone(m)
		slices.SortStableFunc(m, func(a, b int) int { return cmp.Compare(e.f.groupVolume(b), e.f.groupVolume(a)) })
		greedy := e.f.isMonge(m)
		from, ways, strips := 0, 1, 0
		for i, gi := range m {
			if i > 0 && !e.f.alike(gi, m[i-1]) {
				ways *= strips + 1
				strips = 0
				if !greedy || ways*2 > mostSplits {
					out = append(out, m[from:i])
					from, ways = i, 1
				}
			}
			strips += len(e.f.groups[gi].Strips)
		}
		out = append(out, m[from:])
	}
	return out
}

// groupVolume is the volume of one strip of a group; of one that no wood may fill, 0.
func (f *form) groupVolume(gi int) int64 {
	for _, v := range f.at[gi] {
		if v >= 0 {
			return f.volume[v]
		}
	}
	return 0
}

// alike reports whether the strips of two groups of a class have one volume and one mass.
func (f *form) alike(a, b int) bool {
	for ci, v := range f.at[a] {
		if w := f.at[b][ci]; v >= 0 && w >= 0 && (f.volume[v] != f.volume[w] || f.mass[v] != f.mass[w]) {
			return false
		}
	}
	return true
}

// isMonge is [enumClass.isMonge] for groups from the largest on: greedy assigns them exactly, whatever the woods.
func (f *form) isMonge(groups []int) bool {
	var woods []int
	for ci, v := range f.at[groups[0]] {
		if v >= 0 {
			woods = append(woods, ci)
		}
	}
	slices.SortStableFunc(woods, func(a, b int) int { return cmp.Compare(f.mass[f.at[groups[0]][a]], f.mass[f.at[groups[0]][b]]) })
	for g := 1; g < len(groups); g++ {
		heavy, light := f.at[groups[g-1]], f.at[groups[g]]
		for j, a := range woods {
			if f.mass[heavy[a]] < f.mass[light[a]] {
				return false // larger, and yet not heavier
			}
			if j > 0 && f.mass[heavy[woods[j-1]]]+f.mass[light[a]] > f.mass[heavy[a]]+f.mass[light[woods[j-1]]] {
				return false
			}
		}
	}
	return true
}

// shares prepares a class for the share. Its units are by mass, which is by volume.
func (c *enumClass) shares(e *enumeration) {
	if e.share == nil {
		return
	}
	c.share = e.share
	c.volume = make([]int64, len(c.units)+1)
	for u, gi := range c.units {
		v := e.f.groupVolume(gi)
		c.volume[u+1] = c.volume[u] + v
		if n := len(c.levels); n > 0 && e.f.alike(gi, c.units[u-1]) {
			c.levels[n-1][1]++
			continue
		}
		c.levels = append(c.levels, [2]int{u, u + 1})
	}
}

func (c *enumClass) unitVolume(u int) int64 { return c.volume[u+1] - c.volume[u] }

// mixed reports whether the units differ in volume.
func (c *enumClass) mixed() bool { return len(c.levels) > 1 }

func (c *enumClass) isShare(form int) bool { return c.share != nil && form == c.share.form }

// formOf is what unit u in a wood adds to a form.
func (c *enumClass) formOf(u, ci, form int) int64 {
	switch {
	case !c.isShare(form):
		return c.coef[ci][form]
	case c.share.fast[ci]:
		return -c.unitVolume(u)
	}
	return 0
}

// shareRange encloses the negated fast-grown volume of the class over the woods of a set.
func (c *enumClass) shareRange(woods []int) (low, high int64) {
	all := -c.volume[len(c.units)]
	high = all
	for _, ci := range woods {
		switch {
		case c.coef[ci] == nil:
		case c.share.fast[ci]:
			low = all
		default:
			high = 0
		}
	}
	return low, high
}

// best gives each option the greatest share that its counts can have, and says where that is not the share of the lightest assignment.
func (c *enumClass) best(woods []int, options []option) {
	if c.share == nil {
		return
	}
	for i := range options {
		o := &options[i]
		n := 0
		for k, ci := range woods {
			if c.share.fast[ci] {
				n += int(o.counts[k])
			}
		}
		o.forms[c.share.form] = -c.volume[n]
		o.loose = c.mixed() && n > 0 && n < len(c.units) && !c.agrees(woods, o.counts)
	}
}

// agrees reports whether the lightest assignment of counts is the one of the greatest share as well: every fast-grown wood of it comes
// before every other in the greedy order.
func (c *enumClass) agrees(woods []int, counts []uint8) bool {
	slow := false
	for _, ci := range c.density {
		k := slices.Index(woods, ci)
		if k < 0 || counts[k] == 0 {
			continue
		}
		if c.share.fast[ci] && slow {
			return false
		}
		slow = slow || !c.share.fast[ci]
	}
	return true
}

// An assignment is one of those of a count vector: how many units of each level are in fast-grown woods, the mass of the lightest such, and
// the fast-grown volume.
type assignment struct {
	mass, volume int64
	fast         []uint8 // by level
}

// splitsOf are the nondominated assignments of a loose option of the last level, by mass.
func (w *walker) splitsOf(l *level, k int) []assignment {
	if l.splits[k] == nil {
		c := &w.e.classes[l.class]
		l.splits[k] = c.splits(w.woods, l.options[k].counts)
	}
	return l.splits[k]
}

// splits are the assignments of counts in which nothing is lighter at a greater or equal fast-grown volume, by mass.
func (c *enumClass) splits(woods []int, counts []uint8) []assignment {
	var n int
	for k, ci := range woods {
		if c.share.fast[ci] {
			n += int(counts[k])
		}
	}
	var all []assignment
	var flat []uint8 // of all the assignments: thousands, each of a few levels
	take := make([]uint8, len(c.levels))
	sides := c.sides(woods, counts)
	var choose func(level, left int, volume int64)
	choose = func(level, left int, volume int64) {
		if level == len(c.levels) {
			if left == 0 {
				flat = append(flat, take...)
				all = append(all, assignment{mass: c.massOf(sides, take), volume: volume})
			}
			return
		}
		from, to := c.levels[level][0], c.levels[level][1]
		if left > len(c.units)-from {
			return
		}
		for k := range min(left, to-from) + 1 {
			take[level] = uint8(k)
			choose(level+1, left-k, volume+int64(k)*c.unitVolume(from))
		}
		take[level] = 0
	}
	choose(0, n, 0)
	for i := range all {
		all[i].fast = flat[i*len(take) : (i+1)*len(take) : (i+1)*len(take)]
	}
	slices.SortFunc(all, func(a, b assignment) int {
		return cmp.Or(cmp.Compare(a.mass, b.mass), cmp.Compare(b.volume, a.volume), slices.Compare(a.fast, b.fast))
	})
	var out []assignment
	most := int64(math.MinInt64)
	for _, s := range all {
		if s.volume > most {
			s.fast = slices.Clone(s.fast) // few are kept: the others' memory need not be
			out, most = append(out, s), s.volume
		}
	}
	return out
}

// sides are the woods of counts in the order in which greedy gives them to units, one entry a unit: the fast-grown, and the others.
func (c *enumClass) sides(woods []int, counts []uint8) (sides [2][]int) {
	for _, ci := range c.density {
		k := slices.Index(woods, ci)
		if k < 0 {
			continue
		}
		side := 1
		if c.share.fast[ci] {
			side = 0
		}
		for range counts[k] {
			sides[side] = append(sides[side], ci)
		}
	}
	return sides
}

// massOf is the mass of [enumClass.filled].
func (c *enumClass) massOf(sides [2][]int, fast []uint8) (mass int64) {
	var next [2]int
	for i, l := range c.levels {
		for u := l[0]; u < l[1]; u++ {
			side := 1
			if u < l[0]+int(fast[i]) {
				side = 0
			}
			mass += c.unit(u, sides[side][next[side]])
			next[side]++
		}
	}
	return mass
}

// filled is the wood of every unit in the lightest assignment of counts in which so many units of each level are in fast-grown woods: of
// the fast-grown units, as of the others, the heaviest in the lightest wood.
func (c *enumClass) filled(woods []int, counts, fast []uint8) []int {
	sides := c.sides(woods, counts)
	out := make([]int, 0, len(c.units))
	for i, l := range c.levels {
		for u := l[0]; u < l[1]; u++ {
			side := &sides[1]
			if u < l[0]+int(fast[i]) {
				side = &sides[0]
			}
			out = append(out, (*side)[0])
			*side = (*side)[1:]
		}
	}
	return out
}

// splitOf is a loose option with one of its splits.
func (c *enumClass) splitOf(o option, s assignment) option {
	o.forms = slices.Clone(o.forms)
	o.mass, o.forms[c.share.form], o.loose = s.mass, -s.volume, false
	return o
}

// tight are options of which every loose one has given way to its splits.
func (c *enumClass) tight(woods []int, options []option) []option {
	if c.share == nil || !slices.ContainsFunc(options, func(o option) bool { return o.loose }) {
		return options
	}
	var out []option
	for _, o := range options {
		if !o.loose {
			out = append(out, o)
			continue
		}
		for _, s := range c.splits(woods, o.counts) {
			out = append(out, c.splitOf(o, s))
		}
	}
	return out
}

// spreadOf is the wood of every unit in an assignment of the option's mass and share.
func (c *enumClass) spreadOf(woods []int, o option) []int {
	for _, s := range c.splits(woods, o.counts) {
		if s.mass == o.mass && -s.volume == o.forms[c.share.form] {
			return c.filled(woods, o.counts, s.fast)
		}
	}
	panic("an option of no assignment") // list and tight make them of assignments
}

// spreads goes through the splits of a loose option of the last level that keeps every limit but those on mass and share.
func (w *walker) spreads(i, k int, base *key) {
	e, l := w.e, &w.levels[i]
	o := &l.options[k]
	kept := len(e.leaves) == 0
	for s, sp := range w.splitsOf(l, k) {
		if w.mass[i]+sp.mass > e.massRow || -w.part[i][e.share.form]+sp.volume < e.share.least {
			continue
		}
		for j, f := range e.objForm {
			switch {
			case f < 0:
				w.fine[j] = base[j] + sp.mass
			case f == e.share.form:
				w.fine[j] = base[j] - sp.volume
			default:
				w.fine[j] = base[j] + o.forms[f]
			}
		}
		if w.a.dominated(w.fine) {
			continue
		}
		if !kept {
			if w.stopped.Load() || !w.keepsLeaves() {
				return // what they ask is the same for every assignment inside a class
			}
			kept = true
		}
		w.a.add(w.fine, w.set, w.choice, int32(s))
		if e.any {
			w.stopped.Store(true)
			return
		}
	}
}
