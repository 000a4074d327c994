package optimize

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// The second exact method: enumeration by set of used woods over the classes.
//
// For each set of woods that may make up a layout, each class has a list of options: its count vectors, each with its least
// mass. Classes are taken one after another, the one with most options last; a branch ends when what the remaining
// classes can still add does not reach a limit, or when everything it can reach is dominated by what has been found. No
// tolerance anywhere: all of it is integers.

// How many combinations of options a search may have, before any pruning, to be enumerated. With two objectives hulls prune so
// well that a core where nothing merges (15 unlike strips, 6 woods: 2e10) takes 10 s, where integer programs take minutes;
// with three, nothing but the front itself prunes. One objective is one integer program: it takes milliseconds whatever the count.
const (
	mostOptionsOne   = 1e6
	mostOptions      = 5e10
	mostOptionsThree = 4e9
)

// What an enumeration may hold in memory; above it, it is out of the question.
const (
	mostInClass  = 400_000   // options of one class and set
	mostUnits    = 255       // strips of one class: an option counts them in a byte
	mostHeldMB   = 150       // options of all classes of a set
	mostPoints   = 100_000   // of a front: with all its figures a point takes some kilobytes
	heldBudgetMB = 600       // options of all walkers at once: where one needs much, fewer walk
	mostSets     = 200_000   // of woods
	optionBytes  = 8 + 2*24  // an option's mass and slices
	megabyte     = 1_000_000 // bytes
)

// An enumeration is a form prepared for it.
type enumeration struct {
	f       *form
	objs    []objectiveForm
	scatter *scatterForm
	classes []enumClass
	rows    []enumRow
	massRow int64      // upper limit on fine mass without glue, openHigh
	forms   int        // rows, then objectives that are not mass, then variance and deviation
	objForm []int      // by objective: its form, −1 for mass
	varForm int        // variance, then deviation; −1 when scatter is not limited
	share   *shareForm // of the fast-grown share as an objective, else nil

	mostWoods int       // at most so many woods in a layout
	least     int64     // strips per side of a wood where used; 0: no limit
	any       bool      // one layout within the limits is enough
	leaves    []*limit  // decided layout by layout
	cForm     int       // C at the measuring station, when a limit on strength prunes by it; else −1
	floor     [][]int64 // then, [class][candidate]: the C that the wood needs there
	most      int       // points that a front may have

	looks *atomic.Int64 // how many leaves may still be looked at; nil: no limit
	rides *atomic.Int64 // how many may still be decided layout by layout; nil: no limit
	alone bool          // by one walker: where a limit ends the search, what it has found must not depend on the machine
}

// An enumRow is a form with its bounds.
type enumRow struct {
	low, high int64
}

// An enumClass is a class with what its options are made of.
type enumClass struct {
	units   []int     // its strips, as groups, by mass from the heaviest: one entry a strip
	perSide int64     // of each
	coef    [][]int64 // [candidate][form]; nil where not allowed
	prefix  [][]int64 // [candidate][k]: mass of the k heaviest units in that wood
	density []int     // candidates from the lightest wood, for the greedy assignment
	monge   bool      // greedy is exact

	share  *shareForm // nil: the fast-grown share is no objective
	volume []int64    // then, of the k largest units
	levels [][2]int   // then, the units of equal volume: from, to
}

// newEnumeration prepares the active limits of a form.
func (f *form) newEnumeration(active func(*limit) bool, objs []objectiveForm, s *scatterForm) *enumeration {
	e := &enumeration{f: f, objs: objs, scatter: s, massRow: openHigh, varForm: -1, cForm: -1, mostWoods: len(f.p.Candidates), most: mostPoints}
	var coefs [][]int64
	byForm := map[string]int{}
	for _, o := range objs {
		if o.form == Share {
			e.share = f.newShareForm()
		}
	}
	row := func(l *limit) {
		low, high := l.low, l.high
		if low != openLow {
			low -= l.offset
		}
		if high != openHigh {
			high -= l.offset
		}
		if l.mass {
			e.massRow = min(e.massRow, high)
			return
		}
		if e.share != nil && l.form == fastShare {
			e.share.least = max(e.share.least, low)
			return
		}
		i, ok := byForm[l.form]
		if !ok {
			i = len(e.rows)
			byForm[l.form] = i
			e.rows = append(e.rows, enumRow{openLow, openHigh})
			coefs = append(coefs, l.coef)
		}
		e.rows[i].low, e.rows[i].high = max(e.rows[i].low, low), min(e.rows[i].high, high)
	}
	for _, l := range f.limits {
		if !active(l) {
			continue
		}
		switch l.kind {
		case maxWoods:
			e.mostWoods = int(min(int64(e.mostWoods), max(l.value, 0)))
		case minStrips:
			e.least = max(e.least, l.value)
		case linear:
			row(l)
		case flexLow, flexHigh:
			for _, c := range f.ride.cuts(l) {
				row(c)
			}
		}
		if l.leaf() {
			e.leaves = append(e.leaves, l)
		}
	}
	for _, o := range objs {
		if o.mass {
			e.objForm = append(e.objForm, -1)
			continue
		}
		c := make([]int64, len(o.coef))
		for i, k := range o.coef {
			c[i] = o.sign * k
		}
		e.objForm = append(e.objForm, len(coefs))
		if o.form == Share {
			e.share.form = len(coefs)
		}
		coefs = append(coefs, c)
	}
	if s != nil {
		e.varForm = len(coefs)
		// C at the measuring station comes along, for the allowance.
		coefs = append(coefs, s.variance, s.dev, f.measure.coef)
	}
	var least []int64
	for _, l := range e.leaves {
		if l.kind == strength {
			if least = f.ride.leastC(l.asked + utilisationStep/2); least != nil {
				e.cForm = len(coefs)
				coefs = append(coefs, f.measure.coef)
			}
		}
	}
	e.forms = len(coefs)
	e.classify(active, coefs)
	if e.cForm >= 0 {
		for _, c := range e.classes {
			floor := make([]int64, len(f.p.Candidates))
			for _, ci := range c.density {
				if c.coef[ci][e.cForm] > 0 {
					floor[ci] = least[ci]
				}
			}
			e.floor = append(e.floor, floor)
		}
	}
	return e
}

// classify merges groups that agree in every form, as [form.model] does.
func (e *enumeration) classify(active func(*limit) bool, coefs [][]int64) {
	f := e.f
	m := &classModel{f: f}
	banned := func(v variable) bool { return f.banned(v, active) }
	m.classify(e.share.without(coefs), banned)
	for _, members := range e.share.apart(e, m.members) {
		c := enumClass{perSide: int64(f.groups[members[0]].PerSide), coef: make([][]int64, len(f.p.Candidates))}
		for ci := range f.p.Candidates {
			v := f.at[members[0]][ci]
			if v < 0 || banned(f.vars[v]) {
				continue
			}
			c.coef[ci] = make([]int64, len(coefs))
			for i, k := range coefs {
				c.coef[ci][i] = k[v]
			}
			c.density = append(c.density, ci)
		}
		for _, gi := range members {
			for range f.groups[gi].Strips {
				c.units = append(c.units, gi)
			}
		}
		if len(c.density) > 0 {
			first := c.density[0]
			massOf := func(gi, ci int) int64 { return f.mass[f.at[gi][ci]] }
			slices.SortStableFunc(c.units, func(a, b int) int { return cmp.Compare(massOf(b, first), massOf(a, first)) })
			biggest := c.units[0]
			slices.SortStableFunc(c.density, func(a, b int) int { return cmp.Compare(massOf(biggest, a), massOf(biggest, b)) })
			c.prefix = make([][]int64, len(f.p.Candidates))
			for _, ci := range c.density {
				p := make([]int64, len(c.units)+1)
				for k, gi := range c.units {
					p[k+1] = p[k] + massOf(gi, ci)
				}
				c.prefix[ci] = p
			}
			c.monge = c.isMonge()
		}
		c.shares(e)
		e.classes = append(e.classes, c)
	}
}

// isMonge reports whether greedy (the lightest wood on the heaviest strips) is exact: swapping neighbours never helps.
func (c *enumClass) isMonge() bool {
	for u := 1; u < len(c.units); u++ {
		for j := 1; j < len(c.density); j++ {
			light, dense := c.density[j-1], c.density[j]
			if c.unit(u-1, light)+c.unit(u, dense) > c.unit(u-1, dense)+c.unit(u, light) {
				return false
			}
		}
	}
	return true
}

// banned reports whether an active hardness limit keeps a wood from a position.
func (f *form) banned(v variable, active func(*limit) bool) bool {
	for _, l := range f.limits {
		if l.kind == hardness && active(l) && l.position == f.groups[v.group].Position &&
			!f.p.Board.Woods[f.woodOf(v)].HardnessN.AtLeast(l.asked) {
			return true
		}
	}
	return false
}

// usesSets reports whether layouts are told apart by the set of woods they use.
func (e *enumeration) usesSets() bool { return e.least > 1 || e.mostWoods < len(e.f.p.Candidates) }

// sets are the sets of woods to go through, as bits of candidates, the largest first: a large set finds most of the front,
// and what it finds prunes the others. Where no limit speaks of used woods there is one: all of them.
func (e *enumeration) sets() []uint64 {
	n := len(e.f.p.Candidates)
	if !e.usesSets() {
		return []uint64{1<<n - 1}
	}
	var out []uint64
	var add func(from int, set uint64, left int)
	add = func(from int, set uint64, left int) {
		if set != 0 {
			out = append(out, set)
		}
		if left == 0 {
			return
		}
		for i := from; i < n; i++ {
			add(i+1, set|1<<i, left-1)
		}
	}
	add(0, 0, e.mostWoods)
	slices.SortStableFunc(out, func(a, b uint64) int { return cmp.Compare(bits.OnesCount64(b), bits.OnesCount64(a)) })
	return out
}

// options is how many combinations of options there are over all sets: known beforehand, and what decides between the
// methods. +Inf where enumeration is out of the question. held is the memory for the options of the largest set, MB.
func (e *enumeration) options() (all, held float64) {
	n := len(e.f.p.Candidates)
	if n > 63 || len(e.classes) > 64 || slices.ContainsFunc(e.classes, func(c enumClass) bool { return len(c.units) > mostUnits }) {
		return math.Inf(1), 0
	}
	var sets float64 = 1
	if e.usesSets() {
		sets = 0
		for k := 1; k <= e.mostWoods; k++ {
			sets += choose(n, k)
		}
		if sets > mostSets {
			return math.Inf(1), 0
		}
	}
	for _, set := range e.sets() {
		product, listed := 1.0, 0.0
		for _, c := range e.classes {
			woods := 0
			for _, ci := range c.density {
				if set>>ci&1 == 1 {
					woods++
				}
			}
			k := choose(len(c.units)+woods-1, len(c.units))
			if woods == 0 {
				k = 0
			}
			if k > mostInClass || !c.monge && k > mostInClass/10 {
				return math.Inf(1), 0
			}
			product *= k
			listed += k
		}
		all += product
		held = max(held, listed*float64(optionBytes+8*e.forms+bits.OnesCount64(set))/megabyte)
	}
	if held > mostHeldMB {
		return math.Inf(1), held
	}
	return all, held
}

func choose(n, k int) float64 {
	c := 1.0
	for i := 1; i <= k; i++ {
		c = c * float64(n-k+i) / float64(i)
	}
	return math.Round(c)
}

// A found leaf: the objectives in steps and fine, and how to rebuild it.
type leaf struct {
	steps, fine []int64
	set         int
	choice      []int32 // option by class
	split       int32   // of the last class's option, where its mass and share trade off
}

// order puts leaves by their steps, and equal ones in the written order that decides which layout stands for them: the
// least fine values in turn, then the first set and options.
func (a *leaf) order(b *leaf) int {
	return cmp.Or(slices.Compare(a.steps, b.steps), slices.Compare(a.fine, b.fine), cmp.Compare(a.set, b.set), slices.Compare(a.choice, b.choice), cmp.Compare(a.split, b.split))
}

func (e *enumeration) name() Method { return Enumeration }

// ErrTooManyPoints says that a front is larger than an enumeration may hold, and that no integer programs can take its place.
var ErrTooManyPoints = fmt.Errorf("the front has more than %d points; tighten the limits, or leave an objective out", mostPoints)

// front implements [method].
func (e *enumeration) front(ctx context.Context, progress func(Progress)) (found, error) {
	var each func(done, sets, points int)
	if progress != nil {
		var mu sync.Mutex
		each = func(done, sets, points int) {
			mu.Lock()
			defer mu.Unlock()
			progress(Progress{Points: points, SetsDone: done, Sets: sets, Share: share(float64(done), float64(sets))})
		}
	}
	points, complete, err := e.search(ctx, each)
	if err != nil {
		return found{}, err
	}
	if complete || len(points) == 0 {
		return found{points: points, complete: complete}, nil
	}
	return found{last: &points[0]}, nil // nothing of it is proven
}

// search goes through every set. When ctx ends first, what is found is a set of layouts within the limits, no more, and
// complete is false.
func (e *enumeration) search(ctx context.Context, each func(done, sets, points int)) (points []solution, complete bool, err error) {
	for _, c := range e.classes {
		if len(c.density) == 0 {
			return nil, true, nil // a class that no wood may fill
		}
	}
	sets := e.sets()
	_, held := e.options()
	var next atomic.Int64
	var stopped atomic.Bool
	a := e.newArchive(&stopped)
	defer context.AfterFunc(ctx, func() { stopped.Store(true) })()
	var wg sync.WaitGroup
	walkers := min(runtime.GOMAXPROCS(0), len(sets), max(1, int(heldBudgetMB/max(held, 1))))
	if e.alone {
		walkers = 1
	}
	for range walkers {
		wg.Go(func() {
			w := e.newWalker(a, &stopped)
			for {
				i := int(next.Add(1)) - 1
				if ctx.Err() != nil {
					stopped.Store(true)
				}
				if i >= len(sets) || stopped.Load() {
					return
				}
				w.walk(i, sets[i])
				if each != nil {
					each(i+1, len(sets), a.size())
				}
			}
		})
	}
	wg.Wait()
	leaves := a.sorted()
	if a.full || len(leaves) > e.most {
		return nil, false, ErrTooManyPoints
	}
	bySet := make([]int, len(leaves)) // a set's options are listed once for all its leaves
	for i := range leaves {
		bySet[i] = i
	}
	slices.SortStableFunc(bySet, func(i, j int) int { return cmp.Compare(leaves[i].set, leaves[j].set) })
	points = make([]solution, len(leaves))
	w := e.newWalker(a, &stopped)
	w.set = -1
	for _, i := range bySet {
		l := &leaves[i]
		if w.set != l.set {
			w.set = l.set
			w.prepare(sets[l.set])
			w.list()
		}
		points[i] = solution{values: l.steps, n: w.counts(l)}
	}
	return points, !stopped.Load(), nil
}

// An archive holds what is nondominated so far, for all walkers. Its table answers fast, and to the safe side, whether a
// fine vector is dominated: table[b][c] is a first objective from which on everything whose second and third objective lie in
// bucket b and c, or above, is dominated. Walkers read it without a lock; its entries only ever fall.
type archive struct {
	e       *enumeration
	mu      sync.Mutex
	leaves  []leaf
	dirty   int // leaves added since the last filter
	low     [2]int64
	shift   [2]uint // a bucket is 2^shift wide, so that a shift finds it
	buckets [2]int
	table   []atomic.Int64
	coarse  []atomic.Int64 // over few buckets of the second objective, for branches
	cWidth  int64
	full    bool         // more points than may be held
	stopped *atomic.Bool // stops every walker
}

const (
	fineBuckets   = 8192 // of the second objective, with two objectives
	midBuckets    = 512  // of the second and third, with three
	coarseBuckets = 256
)

func (e *enumeration) newArchive(stopped *atomic.Bool) *archive {
	a := &archive{e: e, stopped: stopped, buckets: [2]int{1, 1}}
	for k := range min(len(e.objs)-1, 2) {
		low, high := e.objectiveRange(k + 1)
		a.buckets[k] = fineBuckets
		if len(e.objs) > 2 {
			a.buckets[k] = midBuckets
		}
		a.low[k] = low
		for (high-low)>>a.shift[k] >= int64(a.buckets[k]) {
			a.shift[k]++
		}
		if k == 0 {
			a.cWidth = (high-low)/coarseBuckets + 1
		}
	}
	a.table = make([]atomic.Int64, a.buckets[0]*a.buckets[1])
	a.coarse = make([]atomic.Int64, coarseBuckets)
	for i := range a.table {
		a.table[i].Store(openHigh)
	}
	for i := range a.coarse {
		a.coarse[i].Store(openHigh)
	}
	return a
}

// objectiveRange encloses objective k, fine, offset in.
func (e *enumeration) objectiveRange(k int) (low, high int64) {
	o := e.objs[k]
	c := make([]int64, len(o.coef))
	for i := range c {
		c[i] = o.sign * o.coef[i]
	}
	low, high = e.f.rangeOf(c)
	return low + o.offset, high + o.offset
}

// dominated reports, to the safe side, whether a fine vector is strictly dominated.
func (a *archive) dominated(v []int64) bool {
	i := 0
	if len(v) > 1 {
		i = int((v[1] - a.low[0]) >> a.shift[0])
		if len(v) > 2 {
			i = i*a.buckets[1] + int((v[2]-a.low[1])>>a.shift[1])
		}
	}
	return v[0] >= a.table[i].Load()
}

// add takes a vector in.
func (a *archive) add(fine []int64, set int, choice []int32, split int32) {
	l := leaf{fine: slices.Clone(fine), set: set, choice: slices.Clone(choice), split: split}
	for i, o := range a.e.objs {
		l.steps = append(l.steps, o.step(fine[i]))
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.leaves = append(a.leaves, l)
	a.dirty++
	a.enter(&l)
	if a.dirty > 2000+len(a.leaves)/2 {
		a.filter()
		if len(a.leaves) > a.e.most {
			a.full = true
			a.stopped.Store(true)
		}
	}
}

// enter lowers the table by a leaf. It dominates strictly whatever is not lighter in steps, is worse in the second
// objective by a step, and not better in the third.
func (a *archive) enter(l *leaf) {
	objs := a.e.objs
	begin := func(i int) int64 { return objs[i].end(l.steps[i]-1) + 1 } // the least fine value of the step
	from := begin(0)
	if len(objs) == 1 { // the value is all that is asked: an equal one is of no use
		if from < a.table[0].Load() {
			a.table[0].Store(from)
		}
		return
	}
	worse := objs[1].end(l.steps[1]) + 1
	if d := worse - a.low[0]; len(objs) == 2 {
		for b := a.bucketFrom(0, d); b < a.buckets[0] && a.table[b].Load() > from; b++ {
			a.table[b].Store(from)
		}
		for b := int((d + a.cWidth - 1) / a.cWidth); b < coarseBuckets && a.coarse[b].Load() > from; b++ {
			a.coarse[b].Store(from)
		}
		return
	}
	b0 := max(0, a.bucketFrom(0, worse-a.low[0]))
	c0 := max(0, a.bucketFrom(1, begin(2)-a.low[1]))
	if c0 >= a.buckets[1] {
		return
	}
	for b := b0; b < a.buckets[0]; b++ {
		row := a.table[b*a.buckets[1] : (b+1)*a.buckets[1]]
		if row[c0].Load() <= from {
			return // and so it is for every worse second objective
		}
		for c := c0; c < len(row) && row[c].Load() > from; c++ {
			row[c].Store(from)
		}
	}
}

// bucketFrom is the first bucket that begins at d or above.
func (a *archive) bucketFrom(k int, d int64) int { return int((d + 1<<a.shift[k] - 1) >> a.shift[k]) }

// filter drops what is dominated, and of equal vectors all but the first in order.
func (a *archive) filter() {
	slices.SortFunc(a.leaves, func(x, y leaf) int { return x.order(&y) })
	var stairs []stair
	kept := a.leaves[:0]
	for _, l := range a.leaves {
		var s stair
		if len(l.steps) > 1 {
			s[0] = l.steps[1]
		}
		if len(l.steps) > 2 {
			s[1] = l.steps[2]
		}
		// Whatever dominates it, or equals it, came before.
		i, _ := slices.BinarySearchFunc(stairs, s, func(x, y stair) int { return cmp.Compare(x[0], y[0]) })
		if i < len(stairs) && stairs[i][0] == s[0] && stairs[i][1] <= s[1] || i > 0 && stairs[i-1][1] <= s[1] {
			continue
		}
		j := i
		for j < len(stairs) && stairs[j][1] >= s[1] {
			j++
		}
		stairs = slices.Replace(stairs, i, j, s)
		kept = append(kept, l)
	}
	clear(a.leaves[len(kept):])
	a.leaves = kept
	a.dirty = 0
}

// A stair is a corner of the region that the leaves so far dominate: second and third objective.
type stair [2]int64

func (a *archive) size() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return len(a.leaves)
}

func (a *archive) sorted() []leaf {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.filter()
	return a.leaves
}

// An option is one count vector of a class.
type option struct {
	mass   int64
	floor  int64   // the C at the measuring station that its woods need; 0 when that is not asked
	counts []uint8 // by wood of the set
	forms  []int64
	loose  bool // its mass and fast-grown share, each the best there is, are of different assignments
}

// A key is what an option adds to each objective, apart from the option so that the loop over all of them reads little memory.
type key [3]int64

// A level is a class with its options for one set, and what the classes after it can add.
type level struct {
	class   int
	options []option
	keys    []key   // of the last level: the options' parts of the objectives
	remLow  []int64 // by form: what the levels from this one on add at least
	remHigh []int64
	remMass int64          // the least
	remMax  []int64        // by wood of the set: how many strips per side they can still hold
	room    int64          // strips per side that they hold in all
	hull    []corner       // lower hull of mass over the (negated) second objective, of the levels from this one on
	leaves  float64        // combinations from this level on
	splits  [][]assignment // of the last level: of the options that are loose, once they are asked for
}

// A corner is a break of a convex lower bound: to lower the second objective to x, at least mass y is needed.
type corner struct{ x, y float64 }

// A walker goes through sets, one at a time.
type walker struct {
	e       *enumeration
	a       *archive
	stopped *atomic.Bool
	set     int
	woods   []int // candidates of the set
	levels  []level
	part    [][]int64 // by level: forms of what is chosen above it
	mass    []int64
	floor   []int64   // by level: the C at the measuring station that the woods so far need
	used    [][]int64 // by level, by wood of the set: strips per side so far
	choice  []int32   // by class
	fine    []int64
	check   []int // rows that the last level can still break
	pages   []page
	keys    []key
	nodes   uint
}

func (e *enumeration) newWalker(a *archive, stopped *atomic.Bool) *walker {
	return &walker{e: e, a: a, stopped: stopped, choice: make([]int32, len(e.classes)), fine: make([]int64, len(e.objs))}
}

// prepare puts the classes in order for a set and finds what each level on can still add; false when a class has no wood.
// Options are listed only when they are needed: many sets are out of the question as a whole.
func (w *walker) prepare(set uint64) bool {
	e := w.e
	w.woods = w.woods[:0]
	for ci := range e.f.p.Candidates {
		if set>>ci&1 == 1 {
			w.woods = append(w.woods, ci)
		}
	}
	w.levels = w.levels[:0]
	for i := range e.classes {
		c := &e.classes[i]
		woods := 0
		for _, ci := range w.woods {
			if c.coef[ci] != nil {
				woods++
			}
		}
		if woods == 0 {
			return false
		}
		w.levels = append(w.levels, level{class: i, leaves: choose(len(c.units)+woods-1, len(c.units))})
	}
	slices.SortStableFunc(w.levels, func(a, b level) int { return cmp.Compare(a.leaves, b.leaves) })
	n := len(w.levels)
	w.part, w.mass, w.floor, w.used = w.part[:0], w.mass[:0], w.floor[:0], w.used[:0]
	for range n + 1 {
		w.part = append(w.part, make([]int64, e.forms))
		w.mass = append(w.mass, 0)
		w.floor = append(w.floor, 0)
		w.used = append(w.used, make([]int64, len(w.woods)))
	}
	var start corner
	var edges []edge
	for i := n - 1; i >= 0; i-- {
		l := &w.levels[i]
		c := &e.classes[l.class]
		units := int64(len(c.units))
		l.room = units * c.perSide
		l.remLow, l.remHigh, l.remMax = make([]int64, e.forms), make([]int64, e.forms), make([]int64, len(w.woods))
		for k := range e.forms {
			low, high := int64(openHigh), int64(openLow)
			for _, ci := range w.woods {
				if v := c.coef[ci]; v != nil {
					low, high = min(low, v[k]), max(high, v[k])
				}
			}
			l.remLow[k], l.remHigh[k] = units*low, units*high
			if c.isShare(k) {
				l.remLow[k], l.remHigh[k] = c.shareRange(w.woods)
			}
		}
		for k, ci := range w.woods {
			if c.coef[ci] != nil {
				l.remMax[k] = units * c.perSide
			}
		}
		for u := range c.units {
			least := int64(openHigh)
			for _, ci := range w.woods {
				if c.coef[ci] != nil {
					least = min(least, c.unit(u, ci))
				}
			}
			l.remMass += least
		}
		if w.hulls() {
			var from corner
			from, edges = c.edges(w.woods, e.objForm[1], edges)
			start.x += from.x
			start.y += from.y
			l.hull = join(start, edges)
		}
		if i+1 < n {
			next := &w.levels[i+1]
			l.remMass += next.remMass
			l.room += next.room
			for k := range l.remLow {
				l.remLow[k] += next.remLow[k]
				l.remHigh[k] += next.remHigh[k]
			}
			for k := range l.remMax {
				l.remMax[k] += next.remMax[k]
			}
			l.leaves *= next.leaves
		}
	}
	return true
}

// list lists the options of every level.
func (w *walker) list() {
	for len(w.pages) < len(w.levels) {
		w.pages = append(w.pages, page{})
	}
	for i := range w.levels {
		l := &w.levels[i]
		c := &w.e.classes[l.class]
		l.options = c.list(w.woods, w.e.forms, &w.pages[i])
		if i < len(w.levels)-1 {
			l.options = c.tight(w.woods, l.options)
		} else if w.e.share != nil {
			l.splits = make([][]assignment, len(l.options))
		}
		if w.e.cForm < 0 {
			continue
		}
		for k := range l.options {
			o := &l.options[k]
			for j, n := range o.counts {
				if n > 0 {
					o.floor = max(o.floor, w.e.floor[l.class][w.woods[j]])
				}
			}
		}
	}
	l := &w.levels[len(w.levels)-1]
	w.keys = slices.Grow(w.keys[:0], len(l.options))[:len(l.options)]
	for i := range l.options {
		o := &l.options[i]
		for k, f := range w.e.objForm {
			if f < 0 {
				w.keys[i][k] = o.mass
			} else {
				w.keys[i][k] = o.forms[f]
			}
		}
	}
	l.keys = w.keys
}

// A page is memory that a level's options are written on, set after set.
type page struct {
	options []option
	forms   []int64
	counts  []uint8
}

// of gives the page room.
func (p *page) of(size, forms, woods int) {
	p.options = slices.Grow(p.options[:0], size)
	p.forms = slices.Grow(p.forms[:0], size*forms)[:size*forms]
	p.counts = slices.Grow(p.counts[:0], size*woods)[:size*woods]
}

// hulls reports whether branches are held against the front by hulls: with mass against one other objective.
func (w *walker) hulls() bool { return len(w.e.objs) == 2 && w.e.objForm[0] < 0 && w.e.objForm[1] >= 0 }

// list is every count vector of a class over the woods of a set, each with its least mass.
func (c *enumClass) list(woods []int, forms int, p *page) []option {
	// From the lightest wood on: taken in this order, on the heaviest units first, the woods make the greedy assignment.
	var mine, at []int // candidates, and their places in woods
	for _, ci := range c.density {
		if k := slices.Index(woods, ci); k >= 0 {
			mine, at = append(mine, ci), append(at, k)
		}
	}
	if len(mine) == 0 {
		return nil
	}
	n := len(c.units)
	size := int(choose(n+len(mine)-1, n))
	p.of(size, forms, len(woods))
	options, flat, counts := p.options, p.forms, p.counts
	now := make([]uint8, len(woods))
	sum := make([][]int64, len(mine)+1)
	for i := range sum {
		sum[i] = make([]int64, forms)
	}
	var fill func(i, left int, mass int64)
	fill = func(i, left int, mass int64) {
		coef, prefix := c.coef[mine[i]], c.prefix[mine[i]]
		from := n - left // units before it are taken
		if i == len(mine)-1 {
			k := len(options)
			o := option{mass: mass + prefix[n] - prefix[from],
				counts: counts[k*len(woods) : (k+1)*len(woods) : (k+1)*len(woods)], forms: flat[k*forms : (k+1)*forms : (k+1)*forms]}
			copy(o.counts, now)
			o.counts[at[i]] = uint8(left)
			for j := range o.forms {
				o.forms[j] = sum[i][j] + int64(left)*coef[j]
			}
			options = append(options, o)
			return
		}
		copy(sum[i+1], sum[i])
		for k := 0; k <= left; k++ {
			now[at[i]] = uint8(k)
			fill(i+1, left-k, mass+prefix[from+k]-prefix[from])
			for j, v := range coef {
				sum[i+1][j] += v
			}
		}
		now[at[i]] = 0
	}
	fill(0, n, 0)
	if !c.monge {
		c.assign(woods, options)
	}
	c.best(woods, options)
	return options
}

// unit is the mass of unit u in a wood.
func (c *enumClass) unit(u, ci int) int64 { return c.prefix[ci][u+1] - c.prefix[ci][u] }

// assign gives each option its least mass by dynamic programming over the units, where greedy may miss it.
func (c *enumClass) assign(woods []int, options []option) {
	most := slices.Repeat([]byte{math.MaxUint8}, len(woods))
	best := c.lightest(woods, most)
	all := best[len(c.units)]
	for i := range options {
		options[i].mass = all[string(options[i].counts)]
	}
}

// lightest is, for every number k of units, the least mass of the first k by how many of them are in each wood, none
// of it more often than most says.
func (c *enumClass) lightest(woods []int, most []byte) []map[string]int64 {
	out := []map[string]int64{{string(make([]byte, len(woods))): 0}}
	for u := range c.units {
		next := make(map[string]int64, 2*len(out[u]))
		for key, m := range out[u] {
			for k, ci := range woods {
				if c.coef[ci] == nil || key[k] == most[k] {
					continue
				}
				b := []byte(key)
				b[k]++
				v := m + c.unit(u, ci)
				if old, ok := next[string(b)]; !ok || v < old {
					next[string(b)] = v
				}
			}
		}
		out = append(out, next)
	}
	return out
}

// edges appends the edges of the lower convex hull of a class's options, an objective's form against mass, and returns its
// corner with the lowest form. Any units can have any woods, so the hull is the sum of the units' hulls.
func (c *enumClass) edges(woods []int, form int, e []edge) (corner, []edge) {
	var start corner
	var points, h []corner
	for u := range c.units {
		points, h = points[:0], h[:0]
		for _, ci := range woods {
			if c.coef[ci] != nil {
				points = append(points, corner{float64(c.formOf(u, ci, form)), float64(c.unit(u, ci))})
			}
		}
		slices.SortFunc(points, func(a, b corner) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
		for _, q := range points {
			if len(h) > 0 && q.y >= h[len(h)-1].y {
				continue // heavier and no better
			}
			for len(h) > 1 && cross(h[len(h)-2], h[len(h)-1], q) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		start.x += h[0].x
		start.y += h[0].y
		for k := 1; k < len(h); k++ {
			e = append(e, edge{h[k].x - h[k-1].x, h[k].y - h[k-1].y})
		}
	}
	return start, e
}

// An edge of a hull: so much more of the form, so much less mass.
type edge struct{ dx, dy float64 }

func cross(a, b, c corner) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }

// join is the hull that begins at a corner and has all the edges, steepest first.
func join(start corner, edges []edge) []corner {
	edges = slices.Clone(edges)
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(a.dy*b.dx, b.dy*a.dx) })
	h := make([]corner, 1, len(edges)+1)
	h[0] = start
	for _, e := range edges {
		last := h[len(h)-1]
		h = append(h, corner{last.x + e.dx, last.y + e.dy})
	}
	return h
}

// walk goes through one set.
func (w *walker) walk(index int, set uint64) {
	if !w.prepare(set) {
		return
	}
	w.set = index
	if w.possible(0) {
		w.list()
		w.descend(0)
	}
}

// possible reports whether the levels from i on can still keep every limit and be worth it.
func (w *walker) possible(i int) bool {
	e, l, part := w.e, &w.levels[i], w.part[i]
	for r := range e.rows {
		if part[r]+l.remLow[r] > e.rows[r].high || part[r]+l.remHigh[r] < e.rows[r].low {
			return false
		}
	}
	if w.mass[i]+l.remMass > e.massRow {
		return false
	}
	if e.cForm >= 0 && part[e.cForm]+l.remHigh[e.cForm] < w.floor[i] {
		return false
	}
	if e.usesSets() {
		need := max(e.least, 1)
		var lacking int64
		for k, u := range w.used[i] {
			if u+l.remMax[k] < need {
				return false
			}
			lacking += max(0, need-u)
		}
		if lacking > l.room {
			return false
		}
	}
	// The best that every objective can still reach, each for itself.
	for k, o := range e.objs {
		if f := e.objForm[k]; f < 0 {
			w.fine[k] = w.mass[i] + l.remMass + o.offset
		} else {
			w.fine[k] = part[f] + l.remLow[f] + o.offset
		}
	}
	if w.a.dominated(w.fine) {
		return false
	}
	return l.hull == nil || l.leaves < 64 || w.beyond(i)
}

// beyond reports whether the hull of what is left, from where the branch stands, comes out anywhere below the front.
func (w *walker) beyond(i int) bool {
	e, a, l := w.e, w.a, &w.levels[i]
	f := e.objForm[1]
	x0 := float64(w.part[i][f] + e.objs[1].offset)
	y0 := float64(w.mass[i] + e.objs[0].offset)
	h := l.hull
	k := 0
	first := int((x0 + h[0].x - float64(a.low[0])) / float64(a.cWidth))
	for b := max(first, 0); b < coarseBuckets; b++ {
		// The least mass for a second objective up to the end of the bucket.
		x := float64(a.low[0]+int64(b+1)*a.cWidth) - x0
		for k+1 < len(h) && h[k+1].x <= x {
			k++
		}
		y := h[k].y
		if k+1 < len(h) && x > h[k].x {
			y += (h[k+1].y - h[k].y) * (x - h[k].x) / (h[k+1].x - h[k].x)
		}
		if y0+y-0.5 < float64(a.coarse[b].Load()) {
			return true
		}
		if k+1 == len(h) {
			return false // no lighter any further, and the front only gets lighter
		}
	}
	return false
}

// descend goes through the options of level i.
func (w *walker) descend(i int) {
	if i == len(w.levels)-1 {
		w.last(i)
		return
	}
	l := &w.levels[i]
	per := w.e.classes[l.class].perSide
	part, next := w.part[i], w.part[i+1]
	for k := range l.options {
		o := &l.options[k]
		for j := range next {
			next[j] = part[j] + o.forms[j]
		}
		w.mass[i+1] = w.mass[i] + o.mass
		w.floor[i+1] = max(w.floor[i], o.floor)
		for j, c := range o.counts {
			w.used[i+1][j] = w.used[i][j] + int64(c)*per
		}
		if !w.possible(i + 1) {
			continue
		}
		w.choice[l.class] = int32(k)
		w.descend(i + 1)
		if w.nodes++; w.nodes%256 == 0 && w.stopped.Load() {
			return
		}
	}
}

// last goes through the options of the last class. By profile three quarters of a front are this loop, and most of it two reads that miss
// the cache: the table's bucket, and the forms of what gets past it. Hence keys apart from options, and buckets by a shift: half the time.
func (w *walker) last(i int) {
	e, l, part := w.e, &w.levels[i], w.part[i]
	w.check = w.check[:0]
	for r := range e.rows {
		if part[r]+l.remLow[r] < e.rows[r].low || part[r]+l.remHigh[r] > e.rows[r].high {
			w.check = append(w.check, r)
		}
	}
	need := int64(0)
	if e.usesSets() {
		need = max(e.least, 1)
	}
	per := e.classes[l.class].perSide
	var base key // of the objectives
	for j, f := range e.objForm {
		if base[j] = w.mass[i]; f >= 0 {
			base[j] = part[f]
		}
		base[j] += e.objs[j].offset
	}
	a, n := w.a, len(e.objs)
	if e.looks != nil && e.looks.Add(-int64(len(l.keys))) < 0 {
		w.stopped.Store(true)
		return
	}
options:
	for k := range l.keys {
		// As in dominated.
		add, bucket := &l.keys[k], 0
		if n > 1 {
			bucket = int((base[1] + add[1] - a.low[0]) >> a.shift[0])
			if n > 2 {
				bucket = bucket*a.buckets[1] + int((base[2]+add[2]-a.low[1])>>a.shift[1])
			}
		}
		if base[0]+add[0] >= a.table[bucket].Load() {
			continue
		}
		o := &l.options[k]
		if w.mass[i]+o.mass > e.massRow {
			continue
		}
		if e.share != nil && -part[e.share.form]-o.forms[e.share.form] < e.share.least {
			continue
		}
		for _, r := range w.check {
			if v := part[r] + o.forms[r]; v < e.rows[r].low || v > e.rows[r].high {
				continue options
			}
		}
		if e.cForm >= 0 && part[e.cForm]+o.forms[e.cForm] < max(w.floor[i], o.floor) {
			continue
		}
		if need > 0 {
			for j, c := range o.counts {
				if w.used[i][j]+int64(c)*per < need {
					continue options
				}
			}
		}
		if v := e.varForm; v >= 0 && !e.scatter.allows(part[v]+o.forms[v], part[v+1]+o.forms[v+1], part[v+2]+o.forms[v+2]) {
			continue
		}
		w.choice[l.class] = int32(k)
		if o.loose {
			w.spreads(i, k, &base)
			continue
		}
		for j := range w.fine {
			w.fine[j] = base[j] + add[j]
		}
		if len(e.leaves) > 0 {
			if w.stopped.Load() {
				return
			}
			if !w.keepsLeaves() {
				continue
			}
		}
		w.a.add(w.fine, w.set, w.choice, 0)
		if e.any {
			w.stopped.Store(true)
			return
		}
	}
}

// keepsLeaves decides, for the options chosen, the limits that are decided layout by layout.
func (w *walker) keepsLeaves() bool {
	if r := w.e.rides; r != nil && r.Add(-1) < 0 {
		w.stopped.Store(true)
		return false
	}
	n := w.chosen(w.choice, 0)
	for _, l := range w.e.leaves {
		if !w.e.f.keeps(l, n, nil) {
			return false
		}
	}
	return true
}

// counts rebuilds the counts of a leaf of the set whose options are listed.
func (w *walker) counts(l *leaf) []int64 { return w.chosen(l.choice, l.split) }

// chosen is the counts of an option a class, of the set in hand.
func (w *walker) chosen(choice []int32, split int32) []int64 {
	f := w.e.f
	n := make([]int64, len(f.vars))
	for i := range w.levels {
		lv := &w.levels[i]
		c := &w.e.classes[lv.class]
		o := lv.options[choice[lv.class]]
		if o.loose {
			o = c.splitOf(o, w.splitsOf(lv, int(choice[lv.class]))[split])
		}
		for u, ci := range c.spread(w.woods, o) {
			n[f.at[c.units[u]][ci]]++
		}
	}
	return n
}

// spread is the wood of every unit in the lightest assignment of an option.
func (c *enumClass) spread(woods []int, o option) []int {
	left := slices.Clone(o.counts)
	if c.share != nil && c.mixed() {
		return c.spreadOf(woods, o)
	}
	if c.monge {
		var out []int
		for _, ci := range c.density {
			if k := slices.Index(woods, ci); k >= 0 {
				for range left[k] {
					out = append(out, ci)
				}
			}
		}
		return out
	}
	// Back through the units: the first wood whose removal leaves the least mass of the rest.
	out := make([]int, len(c.units))
	best := c.lightest(woods, o.counts)
	mass := o.mass
	for u := len(c.units) - 1; u >= 0; u-- {
		for k, ci := range woods {
			if left[k] == 0 || c.coef[ci] == nil {
				continue
			}
			left[k]--
			if rest, ok := best[u][string(left)]; ok && rest+c.unit(u, ci) == mass {
				out[u], mass = ci, rest
				break
			}
			left[k]++
		}
	}
	return out
}
