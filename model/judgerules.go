package model

import (
	"fmt"
	"math"
	"math/big"
	"math/cmplx"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// rules are the findings that a practitioner needs to know before anything moves, besides those that stop the compiler.
var rules = []struct {
	name string
	run  func(u *Unit, say func(section int, severity finding.Severity, key, remedy, message string, because ...string))
}{
	{"derivative-noise", derivativeNoise},
	{"setting-vanishes", settingVanishes},
	{"filter-speed", filterSpeed},
	{"limit-cycle", limitCycle},
	{"pole-moved", poleMoved},
	{"response-moved", responseMoved},
	{"limit-out-of-reach", limitOutOfReach},
	{"coarse-input", coarseInput},
	{"headroom-wasted", headroomWasted},
}

func (u *Unit) judgeRules() {
	for _, r := range rules {
		r.run(u, func(section int, severity finding.Severity, key, remedy, message string, because ...string) {
			at, found := u.placeOf(key)
			if !found {
				at = u.place(section)
			}
			u.Findings.Add(finding.Finding{Pos: at, Severity: severity, Rule: r.name, Key: key, Message: message, Because: because, Remedy: remedy})
		})
	}
}

// teller reports one finding of a rule.
type teller = func(section int, severity finding.Severity, key, remedy, message string, because ...string)

func f64(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}

// named finds an operation by its name; ok is false where there is none.
func named(p *program.Real, name string) (*program.RealOp, bool) {
	for i := range p.Ops {
		if p.Ops[i].Name == name {
			return &p.Ops[i], true
		}
	}
	return nil, false
}

// derivativeNoise tells how much one count of the sensor moves the effort through the D term.
func derivativeNoise(u *Unit, say teller) {
	for s, sec := range u.Stored.Sections {
		if sec.Kind != "pid" {
			continue
		}
		d, ok := named(u.Stored, sec.Name+"_d")
		if !ok {
			continue
		}
		k := d.K
		if d.Kind == program.Mul {
			c := u.Integer.Coefs[u.Stored.Ops[d.Args[0]].Index]
			k = new(big.Rat).Mul(new(big.Rat).SetInt64(c.Setter.Apply(c.Setter.XStart)), c.LSB)
		}
		lsb := 0.0
		counts, _ := u.sensorCounts(d.Args[len(d.Args)-1])
		for _, c := range counts {
			lsb = math.Max(lsb, c)
		}
		effort := sec.Signals[0].Value
		span := u.reach[effort]
		full := f64(span.Hi) - f64(span.Lo)
		if lsb == 0 || full == 0 {
			continue
		}
		if jump := math.Abs(f64(k)) * lsb; jump > full/50 {
			say(s, finding.Warning, "steps."+sec.Name+".kd", "a smaller kd, a slower derivative_filter, or a measured rate",
				fmt.Sprintf("one count of the sensor moves the effort by %.3g %s through the D term, %.2g %% of its span", jump, d.Unit, 100*jump/full))
		}
	}
}

// sensorCounts is how much one count of each input that a value of the real program reads at once moves it, in the value's unit: through
// sums, fixed factors, limits and turns. whole tells that nothing else goes into it, such as a state or a live gain.
func (u *Unit) sensorCounts(id program.ID) (counts map[int]float64, whole bool) {
	type gains struct {
		by    map[int]float64 // by input, with the sign
		whole bool
	}
	known := map[program.ID]gains{}
	var look func(id program.ID) gains
	look = func(id program.ID) gains {
		if g, ok := known[id]; ok {
			return g
		}
		op := &u.Stored.Ops[id]
		g := gains{map[int]float64{}, true}
		add := func(arg program.ID, k float64) {
			a := look(arg)
			g.whole = g.whole && a.whole
			for i, c := range a.by {
				g.by[i] += k * c
			}
		}
		switch op.Kind {
		case program.Const:
		case program.Input:
			g.by[op.Index] = f64(u.Stored.Inputs[op.Index].LSB)
		case program.Scale:
			add(op.Args[0], f64(op.K))
		case program.Clamp, program.Wrap:
			add(op.Args[0], 1)
		case program.Add:
			add(op.Args[0], 1)
			add(op.Args[1], 1)
		case program.Sub:
			add(op.Args[0], 1)
			add(op.Args[1], -1)
		default:
			g.whole = false
		}
		known[id] = g
		return g
	}
	g := look(id)
	for i, c := range g.by {
		g.by[i] = math.Abs(c)
	}
	return g.by, g.whole
}

// filterSpeed tells of filters that are too fast or too slow for the rate.
func filterSpeed(u *Unit, say teller) {
	h := 1 / f64(u.Spec.Rate)
	for s, sec := range u.Asked.Sections {
		for _, set := range sec.Settings {
			key := set.Name
			switch key {
			case "time_constant":
			case "derivative_time_constant":
				key = "derivative_filter"
			default:
				continue
			}
			key, what := u.filterKey(sec.Name, key)
			switch ticks := f64(set.Value) / h; {
			case ticks > 0 && ticks < 0.5:
				say(s, finding.Warning, key, filterAt(key, h)+", or leave the filter out",
					fmt.Sprintf("the time constant%s is %.2g ticks: the filter passes nearly everything", what, ticks))
			case ticks > 1e5:
				say(s, finding.Warning, key, "a slower rate for this controller, or a filter that is not so slow",
					fmt.Sprintf("the time constant%s is %.2g ticks: constants this small need wide words", what, ticks))
			}
		}
	}
}

// filterKey is the key by which the spec gives the speed of a step's filter, with its path, and what it leads to.
func (u *Unit) filterKey(step, key string) (path, what string) {
	for _, s := range u.Spec.Steps {
		for _, a := range s.Args {
			if s.Name == step && key == "time_constant" && (a.Key == "cutoff" || a.Key == "blend") {
				return "steps." + step + "." + a.Key, fmt.Sprintf(" of a %s of %s", a.Key, a.Value.Text)
			}
		}
	}
	return "steps." + step + "." + key, ""
}

// filterAt writes the fastest filter that still does something at ticks of h seconds: a time constant of half a tick, in the words of the key.
func filterAt(path string, h float64) string {
	switch key := path[strings.LastIndexByte(path, '.')+1:]; key {
	case "cutoff":
		return fmt.Sprintf("%s: %.3g Hz or less", key, 0.3/h)
	case "blend":
		return key + ": 0.35 or more"
	default:
		return fmt.Sprintf("%s: %.3g ms or more", key, 510*h)
	}
}

// sectionPoles returns the recursion's coefficients of a second-order section of a program.
func sectionCoefficients(p *program.Real, name string) (a1, a2 float64, ok bool) {
	get := func(role string) (float64, bool) {
		op, ok := named(p, name+"_"+role)
		if !ok || op.Kind != program.Scale {
			return 0, false
		}
		return f64(op.K), true
	}
	if pull, yes := get("one_a1_a2"); yes { // y1 + a2*(y1 - y2) - (1 + a1 + a2)*y1
		a2, ok = get("a2")
		return -pull - 1 - a2, a2, ok
	}
	m1, ok1 := get("a1")
	m2, ok2 := get("a2")
	return -m1, -m2, ok1 || ok2
}

func poles(a1, a2 float64) [2]complex128 {
	root := cmplx.Sqrt(complex(a1*a1-4*a2, 0))
	return [2]complex128{(complex(-a1, 0) + root) / 2, (complex(-a1, 0) - root) / 2}
}

// limitCycle tells how far rounding can hold the output of a second-order section from where real numbers take it, at rest too. The figure is what is
// proven of the section; how much of it a certain input leads to is not said. Where the spec leaves the structure to the tool, there is nothing to
// write instead, and what it does to the accuracy is told elsewhere.
func limitCycle(u *Unit, say teller) {
	for s, sec := range u.Stored.Sections {
		if sec.Kind != "second_order" || !u.structured(sec.Name) {
			continue
		}
		if _, fed := named(u.Stored, sec.Name+"_rest"); fed {
			continue // what rounding leaves over is fed back: nothing sticks for long
		}
		bound := u.provenRounding(s)
		sig := u.Integer.Ops[u.Integer.Sections[s].Signals[0].Value]
		if bound == nil || bound.Cmp(new(big.Rat).Mul(sig.LSB, big.NewRat(3, 2))) <= 0 {
			continue
		}
		say(s, finding.Warning, "steps."+sec.Name+".structure", "structure: automatic",
			strings.TrimSpace(fmt.Sprintf("rounding inside the recursion can hold the output up to %.4g %s away from that of real numbers, also at rest: more is proven not to happen", f64(bound), sig.Unit)),
			fmt.Sprintf("this structure feeds each rounded output back, and a count of its signal is %.4g %s", f64(sig.LSB), sig.Unit))
	}
}

// provenRounding is what a section's own rounding reaches at most, or nil.
func (u *Unit) provenRounding(section int) *big.Rat {
	for _, b := range u.Bounds {
		if b.Section == section {
			return b.Local
		}
	}
	return nil
}

// coefficientsRemedy says what keeps the coefficients of a section better.
func (u *Unit) coefficientsRemedy(step string) string {
	if u.structured(step) {
		return "structure: automatic, or a frequency that is not so low for the rate"
	}
	return "a frequency that is not so low for the rate, or a slower rate for this filter"
}

// poleMoved tells of recursive coefficients whose rounding moved a pole by more than a hundredth of its distance to the circle.
func poleMoved(u *Unit, say teller) {
	for s, sec := range u.Stored.Sections {
		if sec.Kind != "second_order" {
			continue
		}
		x1, x2, ok := sectionCoefficients(u.Asked, sec.Name)
		y1, y2, ok2 := sectionCoefficients(u.Stored, sec.Name)
		if !ok || !ok2 {
			continue
		}
		worst, moved, room := 0.0, 0.0, 0.0
		got := poles(y1, y2)
		for _, want := range poles(x1, x2) { // the distance moved is held against that of the same pole
			m, r := math.Min(cmplx.Abs(got[0]-want), cmplx.Abs(got[1]-want)), 1-cmplx.Abs(want)
			if m/r > worst {
				worst, moved, room = m/r, m, r
			}
		}
		if worst > 0.01 {
			say(s, finding.Warning, "steps."+sec.Name, u.coefficientsRemedy(sec.Name),
				fmt.Sprintf("rounding of the coefficients moves a pole by %.2g, %.2g %% of its distance %.3g to the unit circle", moved, 100*worst, room))
		}
	}
}

// limitOutOfReach tells of outputs that can never reach a limit.
func limitOutOfReach(u *Unit, say teller) {
	for i, o := range u.Asked.Outputs {
		op := u.Asked.Ops[o.Value]
		r := u.reach[o.Value]
		if spec := u.Spec.Outputs; len(spec) == 0 || op.Kind != program.Scale {
			continue
		}
		declared := false
		for _, so := range u.Spec.Outputs {
			declared = declared || so.Name == o.Name && so.Lo != nil
		}
		if o.Turned {
			r = r.Neg() // the raw count is turned, the limits are not
		}
		if v := u.Integer.Ops[u.Integer.Outputs[i].Value]; v.Lo == v.Hi && o.Lo.Cmp(o.Hi) < 0 {
			say(op.Section, finding.Warning, "outputs."+o.Name, "more counts_per_unit, or larger gains or limits upstream",
				fmt.Sprintf("the output is always %d counts: one count is %.5g %s, and what it comes from reaches [%.5g, %.5g]", v.Lo, f64(o.LSB), o.Unit, f64(r.Lo), f64(r.Hi)))
			continue
		}
		slack := new(big.Rat).Mul(o.LSB, big.NewRat(2, 1))
		for _, side := range []struct {
			name, end   string
			limit, gets *big.Rat
			short       bool
		}{{"upper", "most", o.Hi, r.Hi, new(big.Rat).Add(r.Hi, slack).Cmp(o.Hi) < 0}, {"lower", "least", o.Lo, r.Lo, new(big.Rat).Sub(r.Lo, slack).Cmp(o.Lo) > 0}} {
			if declared && side.short {
				remedy := "larger gains or limits upstream"
				if lo, hi := insideCounts(interval.Range{Lo: interval.Max(r.Lo, o.Lo), Hi: interval.Min(r.Hi, o.Hi)}, o.LSB); lo.Cmp(hi) < 0 {
					remedy = fmt.Sprintf("limits: [%s, %s], which it reaches, or ", program.Outward(lo, false), program.Outward(hi, true)) + remedy
				}
				say(op.Section, finding.Warning, "outputs."+o.Name+".limits", remedy,
					fmt.Sprintf("the output can never reach its %s limit %.5g %s: it gets to %.5g at %s", side.name, f64(side.limit), o.Unit, f64(side.gets), side.end))
			}
		}
	}
}

// insideCounts is a range drawn in to whole counts.
func insideCounts(r interval.Range, count *big.Rat) (lo, hi *big.Rat) {
	lo, hi = new(big.Rat).Quo(r.Lo, count), new(big.Rat).Quo(r.Hi, count)
	lo.SetInt(interval.Ceil(lo))
	hi.SetInt(interval.Floor(hi))
	return lo.Mul(lo, count), hi.Mul(hi, count)
}

// coarseInput tells of accuracies that no count of the sensor can carry.
func coarseInput(u *Unit, say teller) {
	for _, a := range u.Spec.Accuracy {
		for s, sec := range u.Stored.Sections {
			for _, sig := range sec.Signals {
				if sig.Name != a.Name {
					continue
				}
				counts, whole := u.sensorCounts(sig.Value)
				count := 0.0
				for _, c := range counts {
					count = c
				}
				if want := u.accuracy(a); whole && len(counts) == 1 && want != nil && count > 2*f64(want) {
					say(s, finding.Warning, "accuracy."+a.Name, fmt.Sprintf("%.3g %s or more", count, u.Stored.Ops[sig.Value].Unit),
						fmt.Sprintf("one count of the sensor is %.3g %s, coarser than the accuracy asked for", count, u.Stored.Ops[sig.Value].Unit))
				}
			}
		}
	}
}

// headroomWasted tells of inputs that use little of their register.
func headroomWasted(u *Unit, say teller) {
	for i, in := range u.Spec.Inputs {
		info := u.Asked.Inputs[i]
		if info.IsSwitch || in.Lo == nil {
			continue
		}
		lo, hi := info.Type.Range()
		whole := new(big.Rat).Mul(new(big.Rat).SetInt64(hi-lo), info.LSB)
		used := new(big.Rat).Sub(in.Hi, in.Lo)
		if share := f64(used) / f64(whole); share > 0 && share < 1.0/512 && info.Type.Bits() > 8 {
			u.Findings.Add(finding.Finding{Pos: in.Pos, Severity: finding.Note, Rule: "headroom-wasted", Key: "inputs." + in.Name,
				Message: fmt.Sprintf("the declared range uses %.2g %% of what %s can hold: %d bits are never used unless the sensor misbehaves", share*100, in.Raw, int(-math.Log2(share))),
				Remedy:  "a narrower raw type, or more counts per unit"})
		}
	}
}
