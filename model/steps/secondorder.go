package steps

import (
	"math"
	"math/big"

	"gainwright/model/program"
	"gainwright/model/spec"
)

var secondOrderKind = &Kind{
	Name:     "second_order",
	Doc:      "Second-order section: low-pass, high-pass, band-pass, notch or peaking filter, or coefficients of one's own. It starts at rest.",
	Equation: "y = b0*x + b1*x1 + b2*x2 - a1*y1 - a2*y2, where x1 is x one tick ago",
	Source:   "Audio EQ Cookbook, R. Bristow-Johnson, W3C Note; normalised by a0",
	Units:    "own = of",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "response", Form: Word, Choices: []string{"low_pass", "high_pass", "band_pass", "notch", "peaking"}, Doc: "shape; with frequency and q"},
		{Key: "frequency", Form: Frequency, Doc: "corner or centre frequency"},
		{Key: "q", Form: Number, Doc: "quality factor, such as 0.7071"},
		{Key: "gain_db", Form: Number, Doc: "gain of a peaking filter at its centre, in dB"},
		{Key: "b", Form: Numbers, Doc: "[b0, b1, b2], instead of response"},
		{Key: "a", Form: Numbers, Doc: "[a1, a2] of 1 + a1*z^-1 + a2*z^-2"},
		{Key: "structure", Form: Word, Choices: []string{"automatic", "direct", "transposed", "feedback", "feedback_2", "wide"},
			Doc: "direct form I, transposed direct form II, direct form I with the rounding error fed back once or twice, or with a wider output"},
	},
	Lower: lowerSecondOrder,
}

// Section holds the coefficients of (b0 + b1*z^-1 + b2*z^-2)/(1 + a1*z^-1 + a2*z^-2).
type Section struct{ B0, B1, B2, A1, A2 float64 }

// Cookbook returns the section of a response at frequency f (Hz) for a rate fs (Hz), quality q and, for
// peaking, gain in dB. Source: Audio EQ Cookbook, W3C Note. The band-pass has 0 dB at its peak.
func Cookbook(response string, f, fs, q, db float64) Section {
	w := 2 * math.Pi * f / fs
	c, alpha := math.Cos(w), math.Sin(w)/(2*q)
	a0, a1, a2 := 1+alpha, -2*c, 1-alpha
	var b0, b1, b2 float64
	switch response {
	case "low_pass":
		b0, b1, b2 = (1-c)/2, 1-c, (1-c)/2
	case "high_pass":
		b0, b1, b2 = (1+c)/2, -(1 + c), (1+c)/2
	case "band_pass":
		b0, b1, b2 = alpha, 0, -alpha
	case "notch":
		b0, b1, b2 = 1, -2*c, 1
	case "peaking":
		a := math.Pow(10, db/40)
		b0, b1, b2 = 1+alpha*a, -2*c, 1-alpha*a
		a0, a2 = 1+alpha/a, 1-alpha/a
	}
	return Section{b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0}
}

func lowerSecondOrder(l *Lowering) {
	x := l.Signal("of")
	if x.angular != nil {
		l.fail(l.argPos("of"), "of", "average-on-circle", "clamp the angle first, or filter its rate", "an angle on a circle cannot be filtered: 179 and -179 would give 0")
	}
	b, a, ok := l.sectionCoefficients()
	if !ok {
		return
	}
	a1, _ := a[0].Float64()
	a2, _ := a[1].Float64()
	if math.Abs(a2) >= 1 || math.Abs(a1) >= 1+a2 {
		l.fail(l.step.Pos, "", "unstable-filter", "|a2| < 1 and |a1| < 1 + a2", "the section is not stable: a1 = %.9g, a2 = %.9g", a1, a2)
		return
	}
	none := [3]program.ID{program.None, program.None, program.None}
	s := &secondOrder{Lowering: l, x: x.id, unit: x.unit, b: b, a: a, fact: &program.Biquad{B: none, A: [2]program.ID(none[:2])}}
	l.facts().Biquad = s.fact
	atRest := big.NewRat(-1, 1)
	for _, k := range b {
		atRest.Add(atRest, k)
	}
	for _, k := range a {
		atRest.Sub(atRest, k)
	}
	if off, _ := atRest.Float64(); math.Abs(off) < 1e-6*(1+a1+a2) { // a signal at rest passes as it is
		l.facts().Level = &x.id
	}
	structure := l.Word("structure")
	s.fact.Given = structure != "automatic"
	guard := 0
	if structure == "automatic" {
		structure, guard = automatic(a1, a2)
	}
	switch structure {
	case "transposed":
		s.transposed()
	case "feedback":
		s.direct(1, guard)
	case "feedback_2":
		s.direct(2, guard)
	case "wide":
		s.direct(0, int(math.Ceil(math.Log2(l1(a1, a2, 0, math.Inf(1))+1))))
	default:
		s.direct(0, guard)
	}
}

// automatic takes the cheapest structure whose rounding stays below one count of the section's own signal,
// and how many more fraction bits its output needs.
func automatic(a1, a2 float64) (structure string, guard int) {
	for _, c := range []struct {
		structure       string
		feedback, guard int
	}{{"direct", 0, 0}, {"feedback", 1, 0}, {"feedback_2", 2, 0}, {"feedback", 1, 2}, {"feedback_2", 2, 2}, {"feedback_2", 2, 4}} {
		parts := float64(int(1) << c.guard)
		rounding := l1(a1, a2, c.feedback, 2*parts) / 2 / parts // beyond 1 it is refused in any case
		if c.guard > 0 {
			rounding += 0.5
		}
		if rounding <= 0.95 {
			return c.structure, c.guard
		}
	}
	return "wide", 0
}

// l1 is about the sum of |h(k)| of (1 - z^-1)^order / A(z), to choose a structure by; no bound rests on it. It stops
// where the sum is more than enough.
func l1(a1, a2 float64, order int, enough float64) float64 {
	var y1, y2, sum float64
	num := [3][3]float64{{1, 0, 0}, {1, -1, 0}, {1, -2, 1}}[order]
	for k := range 200000 {
		y := -a1*y1 - a2*y2
		if k < 3 {
			y += num[k]
		}
		sum += math.Abs(y)
		y2, y1 = y1, y
		if sum > enough || k > 10 && math.Abs(y1)+math.Abs(y2) < 1e-9 {
			break
		}
	}
	return sum
}

func (l *Lowering) sectionCoefficients() (b, a []*big.Rat, ok bool) {
	if l.Has("b") || l.Has("a") {
		for _, k := range []string{"response", "frequency", "q", "gain_db"} {
			if l.Has(k) {
				l.fail(l.argPos(k), k, "two-forms", "response with frequency and q, or b and a", "the section is given in two forms")
				return nil, nil, false
			}
		}
		b, a = l.numbers("b", 3), l.numbers("a", 2)
		return b, a, b != nil && a != nil
	}
	for _, k := range []string{"response", "frequency", "q"} {
		if !l.Has(k) {
			l.fail(l.step.Pos, "", "missing-key", map[string]string{"response": "response: notch", "frequency": "frequency: 10 Hz", "q": "q: 0.7071"}[k]+", or b: [b0, b1, b2] and a: [a1, a2]", "the section needs response, frequency and q, or b and a")
			return nil, nil, false
		}
	}
	f, _ := l.Hertz("frequency").Float64()
	fs, _ := l.rate().Float64()
	q, _ := l.Number("q", "", nil).Float64()
	db, _ := l.Number("gain_db", "", new(big.Rat)).Float64()
	switch {
	case f >= fs/2:
		l.fail(l.argPos("frequency"), "frequency", "frequency-too-high", "frequency: "+decimal(new(big.Rat).Mul(l.rate(), big.NewRat(2, 5)))+" Hz or less", "the frequency is not below half the rate%s", l.ofRuns())
		return nil, nil, false
	case q < 0.05 || q > 1000:
		l.fail(l.argPos("q"), "q", "q-outside", "q: 0.7071", "the quality factor is %g, 0.05 to 1000 is expected", q)
		return nil, nil, false
	case math.Abs(db) > 60:
		l.fail(l.argPos("gain_db"), "gain_db", "gain-outside", "gain_db: 6", "the gain is %g dB, -60 to 60 is expected", db)
		return nil, nil, false
	}
	s := Cookbook(l.Word("response"), f, fs, q, db)
	exact := func(xs ...float64) (out []*big.Rat) {
		for _, x := range xs {
			out = append(out, new(big.Rat).SetFloat64(x))
		}
		return out
	}
	return exact(s.B0, s.B1, s.B2), exact(s.A1, s.A2), true
}

// numbers reads a list of n numbers.
func (l *Lowering) numbers(key string, n int) []*big.Rat {
	a := l.arg(key)
	if a == nil || len(a.Value.Items) != n {
		l.fail(l.argPos(key), key, "not-numbers", "b: [b0, b1, b2] and a: [a1, a2]", "a list of %d numbers is expected", n)
		return nil
	}
	var out []*big.Rat
	for _, i := range a.Value.Items {
		k, err := spec.ParseNumber(i.Text)
		if err != nil || new(big.Rat).Abs(k).Cmp(big.NewRat(1e6, 1)) > 0 {
			l.fail(i.Pos, key, "not-a-number", "a decimal number up to 1e6", "%s is no such number", shown(i))
			return nil
		}
		out = append(out, k)
	}
	return out
}

// secondOrder is a section while it is put together.
type secondOrder struct {
	*Lowering
	x    program.ID
	unit string
	b, a []*big.Rat
	fact *program.Biquad
}

func (s *secondOrder) delay(of program.ID, role, doc string) program.ID {
	n, before := s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Copy}, Like: of}, role, doc)
	s.Update(n, of)
	return before
}

// poleBits is how many significant bits the coefficients of the recursion keep: fewer would move the poles.
const poleBits = 11

// term adds k*v to a sum; coef is where the fact of it stands.
func (s *secondOrder) term(sum program.ID, k *big.Rat, v program.ID, role string, coef *program.ID) program.ID {
	if k.Sign() == 0 {
		return sum
	}
	t := s.Scale(k, v, s.unit, role, "term "+role)
	s.p.Ops[t].Label = s.prefix + "_" + role
	if *coef = t; coef == &s.fact.A[0] || coef == &s.fact.A[1] {
		s.p.Ops[t].Keep = poleBits
	}
	if sum == program.None {
		return t
	}
	return s.Add(sum, t, role+"_sum", "sum so far")
}

// near is how small a sum of coefficients must be, beside the coefficients themselves, to be stored as a constant of its own: of three
// numbers that are each stored to a thousandth nothing is left of a sum of a hundred-thousandth, which is the gain of a notch at rest.
var near = big.NewRat(1, 64)

// fromInput adds the input's share. Where the coefficients nearly cancel, as those of a notch or a high-pass far below the rate do, it is written in
// differences, b0*(x - 2*x1 + x2) + (b0 - b2)*(x1 - x2) + (b0 + b1 + b2)*x1, and each keeps its relative accuracy at all frequencies.
func (s *secondOrder) fromInput(x1, x2 program.ID) program.ID {
	all, size := new(big.Rat), new(big.Rat)
	for _, b := range s.b {
		all.Add(all, b)
		size.Add(size, new(big.Rat).Abs(b))
	}
	if s.a[0].Cmp(big.NewRat(-1, 1)) >= 0 || new(big.Rat).Abs(all).Cmp(size.Mul(size, near)) >= 0 {
		sum := s.term(program.None, s.b[0], s.x, "b0", &s.fact.B[0])
		sum = s.term(sum, s.b[1], x1, "b1", &s.fact.B[1])
		return s.term(sum, s.b[2], x2, "b2", &s.fact.B[2])
	}
	before := s.Sub(x1, x2, "x_change", "change of the input one tick ago")
	bend := s.Sub(s.Sub(s.x, x1, "x_change_now", "change of the input"), before, "x_bend", "change of the change")
	s.fact.Bends = true
	sum := s.term(program.None, s.b[0], bend, "b0", &s.fact.B[0])
	sum = s.term(sum, new(big.Rat).Sub(s.b[0], s.b[2]), before, "b0_less_b2", &s.fact.B[1])
	return s.term(sum, all, x1, "b0_b1_b2", &s.fact.B[2])
}

// direct is direct form I with one rounding, of the output. Where a1 is beyond -1 the recursion is written
// in differences, y1 + a2*(y1 - y2) - (1 + a1 + a2)*y1, so that small constants, not differences of large
// ones, place poles near 1. Feedback adds what earlier roundings took away: in real numbers nothing.
func (s *secondOrder) direct(feedback, guard int) {
	x1 := s.delay(s.x, "x1", "input one tick ago")
	x2 := s.delay(x1, "x2", "input two ticks ago")
	ny1, y1 := s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Copy}, Like: program.None}, "y1", "output one tick ago")
	ny2, y2 := s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Copy}, Like: y1}, "y2", "output two ticks ago")
	sum := s.fromInput(x1, x2)
	if sum == program.None {
		sum = s.Const(new(big.Rat), s.unit, "nothing")
	}
	one := big.NewRat(1, 1)
	if s.a[0].Cmp(new(big.Rat).Neg(one)) < 0 {
		gap := s.Sub(y1, y2, "y_change", "change of the output")
		pull := new(big.Rat).Add(one, s.a[0])
		pull.Add(pull, s.a[1])
		s.fact.Pulls = true
		sum = s.term(sum, s.a[1], gap, "a2", &s.fact.A[1])
		sum = s.term(sum, new(big.Rat).Neg(pull), y1, "one_a1_a2", &s.fact.A[0])
		sum = s.Add(sum, y1, "y1_sum", "sum so far")
	} else {
		sum = s.term(sum, new(big.Rat).Neg(s.a[0]), y1, "a1", &s.fact.A[0])
		sum = s.term(sum, new(big.Rat).Neg(s.a[1]), y2, "a2", &s.fact.A[1])
	}
	var left [2]program.ID
	var nleft [2]int
	for k := range feedback {
		nleft[k], left[k] = s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Copy}, Like: program.None}, []string{"left1", "left2"}[k], "what rounding left over, 0 in real numbers")
	}
	switch feedback {
	case 1:
		sum = s.Add(sum, left[0], "with_left", "with what rounding left over")
	case 2:
		twice := s.Add(left[0], left[0], "left_twice", "twice what was left over")
		sum = s.Add(sum, s.Sub(twice, left[1], "left", "left over, continued in a line"), "with_left", "with what rounding left over")
	}
	y := s.Scale(one, sum, s.unit, "rounded", "output")
	s.p.Ops[y].Guard, s.p.Ops[y].FinerThan = guard, s.x
	if s.fact.Fed = feedback > 0; s.fact.Fed {
		rest := s.Sub(sum, y, "rest", "what rounding leaves over, 0 in real numbers")
		s.p.Ops[rest].Same = sum
		s.p.States[nleft[0]].Like = rest
		s.Update(nleft[0], rest)
		if feedback == 2 {
			s.p.States[nleft[1]].Like = rest
			s.Update(nleft[1], left[0])
		}
	}
	s.p.States[ny1].Like = y
	s.Update(ny1, y)
	s.Update(ny2, y1)
	s.Publish(y, "", nil)
	s.p.Ops[len(s.p.Ops)-1].FinerThan = s.x
}

// transposed is the transposed direct form II: two wide states, one rounding.
func (s *secondOrder) transposed() {
	n1, s1 := s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Accumulator}, Like: s.x}, "s1", "first partial sum")
	n2, s2 := s.State(program.RealState{StateInfo: program.StateInfo{Unit: s.unit, Purpose: program.Accumulator}, Like: s.x}, "s2", "second partial sum")
	sum := s.term(s1, s.b[0], s.x, "b0", &s.fact.B[0])
	y := s.Scale(big.NewRat(1, 1), sum, s.unit, "rounded", "output")
	s.p.Ops[y].FinerThan = s.x
	if s.b[0].Sign() != 0 {
		s.p.Ops[sum].Same = s1
	}
	next := s.term(s2, s.b[1], s.x, "b1", &s.fact.B[1])
	s.Update(n1, s.term(next, new(big.Rat).Neg(s.a[0]), y, "a1", &s.fact.A[0]))
	next = s.term(program.None, s.b[2], s.x, "b2", &s.fact.B[2])
	next = s.term(next, new(big.Rat).Neg(s.a[1]), y, "a2", &s.fact.A[1])
	if next == program.None {
		next = s.Const(new(big.Rat), s.unit, "nothing")
	}
	s.Update(n2, next)
	s.Publish(y, "", nil)
	s.p.Ops[len(s.p.Ops)-1].FinerThan = s.x
}
