package steps

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
)

var pidKind = &Kind{
	Name:     "pid",
	Doc:      "PID controller with limited effort, limited integral and filtered derivative.",
	Equation: "I += ki*period*e, limited; u = kp*(weight*target - measured) + I + kd*d(e or -measured)/dt, limited; e = target - measured",
	Source:   "parallel form, backward Euler rule, Astrom and Hagglund, PID Controllers: Theory, Design, and Tuning (from memory)",
	Units:    "own = unit = limits = integral_limits = start; target = measured; measured_rate = measured/s",
	Params: []Param{
		{Key: "target", Form: SignalOrNumber, Required: true, Doc: "set-point"},
		{Key: "measured", Form: Signal, Required: true, Doc: "controlled value"},
		{Key: "measured_rate", Form: Signal, Doc: "its rate, where it is measured: the derivative acts on it"},
		{Key: "kp", Form: Quantity, Tunable: true, Doc: "proportional gain; or gain, ti, td"},
		{Key: "ki", Form: Quantity, Tunable: true, Doc: "integral gain"},
		{Key: "kd", Form: Quantity, Tunable: true, Doc: "derivative gain"},
		{Key: "per", Form: Word, Choices: []string{"second", "tick"}, Doc: "whether ki and kd are per second or per tick, of a step that has `every` per run"},
		{Key: "gain", Form: Quantity, Doc: "gain of the standard (ISA) or series form, instead of kp, ki, kd"},
		{Key: "ti", Form: Duration, Doc: "integral time"},
		{Key: "td", Form: Duration, Doc: "derivative time"},
		{Key: "form", Form: Word, Choices: []string{"standard", "series"}, Doc: "meaning of gain, ti, td"},
		{Key: "weight", Form: Number, Doc: "set-point weight of the P term, default 1"},
		{Key: "derivative", Form: Word, Choices: []string{"measurement", "error"}, Doc: "what the D term acts on where no rate is measured"},
		{Key: "derivative_filter", Form: Duration, Doc: "time constant of the derivative's filter"},
		{Key: "unit", Form: Unit, Doc: "unit of the effort, where what it feeds does not tell"},
		{Key: "limits", Form: Limits, Doc: "limits of the effort; default and at most those of the output it feeds"},
		{Key: "integral_limits", Form: Limits, Doc: "limits of the integral; default those of the effort"},
		{Key: "tracking_time", Form: Duration, Doc: "back-calculation: the integral is led back with this time constant while the effort is limited"},
		{Key: "around", Form: Word, Choices: []string{"line", "circle"}, Doc: "circle: the error of an angle takes the short way round"},
		{Key: "enable", Form: Condition, Doc: "while off, the effort is 0 and the integral stays at its start"},
		{Key: "reset", Form: Condition, Doc: "the integral goes back to its start where this holds"},
		{Key: "start", Form: Quantity, Doc: "the integral at start, default 0"},
	},
	Lower: lowerPID,
}

// pid is the controller while it is put together.
type pid struct {
	*Lowering
	gains    Gains // per second
	factorI  *big.Rat
	factorD  *big.Rat
	unit     string // of the effort
	measured signal
	target   program.ID
	err      program.ID
	limits   span // of the effort
	turn     *big.Rat
	inUnit   string // effort per unit measured
	enable   program.ID
	effort   map[program.ID]bool // terms of the effort, and the integral
}

func lowerPID(l *Lowering) {
	c := &pid{Lowering: l, measured: l.Signal("measured"), effort: map[program.ID]bool{}}
	defer c.countInOutput()
	before := len(*l.findings)
	if c.unit, _ = l.units.Of(l.step.Name); l.Has("unit") {
		c.unit = l.arg("unit").Value.Text
	}
	c.readGains()
	c.noteGains()
	c.checkSigns()
	c.readLimits()
	if l.Word("around") == "circle" {
		c.turn = l.turn(c.measured.unit, "measured")
	} else if c.measured.angular != nil {
		l.fail(l.argPos("measured"), "measured", "error-on-circle", "around: circle", "the measured angle lives on a circle: the error from 179 to -179 must be 2, not 358")
	}
	c.target = l.SignalOrNumber("target", c.measured.unit, "target")
	c.enable = l.Condition("enable")
	number, _ := spec.ParseQuantity(l.arg("target").Value.Text)
	c.facts().Control = &program.Control{Target: c.target, Measured: c.measured.id, Circle: c.turn != nil, InUnit: number.Unit != ""}

	c.err = l.Sub(c.target, c.measured.id, "error", "target less measured")
	l.Exact(c.err)
	if c.turn != nil {
		c.err = l.Wrap(c.err, c.turn, "error_short", "error, the short way round")
		l.Exact(c.err)
	}
	u := c.proportional()
	if d := c.derivative(); d != program.None {
		u = c.plus(u, d, "with_derivative")
	}
	u = c.integral(u)
	if u == program.None {
		switch {
		case len(*l.findings) > before: // a gain that cannot be read was given
		case l.Has("kp") || l.Has("ki") || l.Has("kd") || l.Has("gain"):
			l.fail(l.step.Pos, "", "no-gain", "kp: 1", "every gain is 0, and none is live: the effort would never move")
		default:
			l.fail(l.step.Pos, "", "no-gain", "kp: 1", "no gain is given: one of kp, ki, kd, or gain with ti and td, is expected")
		}
		return
	}
	c.equation()
	if c.limits.lo != nil {
		u = l.clamp(u, c.limits, "limited", "effort inside its limits")
	}
	if c.enable != program.None {
		l.facts().Gate = &c.enable
		u = l.Select(c.enable, u, l.Const(new(big.Rat), c.unit, "off"), "enabled", "effort, 0 while off")
	}
	l.Publish(u, "", nil)
}

// equation says which terms there are, and what each acts on.
func (c *pid) equation() {
	target, measured := c.written(c.target, "target"), c.arg("measured").Value.Text
	e := "e = " + target + " - " + measured
	if c.turn != nil {
		e += ", the short way round"
	}
	text, facts := "", c.facts()
	if c.wanted("kp", c.gains.P) {
		text = "kp*e"
		if c.Has("weight") {
			text = fmt.Sprintf("kp*(%s*%s - %s)", decimal(c.Number("weight", "", nil)), target, measured)
		}
	}
	if facts.Integral != nil {
		e += "; I += ki*period*e, limited"
		text += " + I"
	}
	switch of := measured; {
	case facts.Derivative == nil:
	case c.Has("measured_rate"):
		text += " - kd*" + c.arg("measured_rate").Value.Text
	default:
		sign := " - "
		if c.Word("derivative") == "error" {
			sign, of = " + ", "e"
		}
		text += fmt.Sprintf("%skd*d(%s)/dt", sign, of)
		if c.Has("derivative_filter") {
			text += " filtered"
		}
	}
	if c.limits.lo != nil {
		text += ", limited"
	}
	if c.enable != program.None {
		text += ", 0 while off"
	}
	if strings.Contains(text, "*e") || strings.Contains(text, "(e)") || facts.Integral != nil {
		text = e + "; " + c.step.Name + " = " + strings.TrimPrefix(text, " + ")
	} else {
		text = c.step.Name + " = " + text
	}
	c.Equation("%s", text)
}

func (c *pid) plus(a, b program.ID, role string) program.ID {
	if a == program.None {
		return b
	}
	return c.Add(a, b, role, "terms so far")
}

func (c *pid) proportional() program.ID {
	if !c.wanted("kp", c.gains.P) {
		return program.None
	}
	e := c.err
	if c.Has("weight") {
		b := c.Number("weight", "", nil)
		if b.Sign() < 0 || b.Cmp(big.NewRat(1, 1)) > 0 {
			c.fail(c.argPos("weight"), "weight", "weight-outside", "weight: 1", "the set-point weight is %s, 0 to 1 is expected", decimal(b))
		}
		if b.Cmp(big.NewRat(1, 1)) != 0 {
			if c.turn != nil {
				c.fail(c.argPos("weight"), "weight", "weight-on-circle", "leave weight out", "a set-point weight has no meaning on a circle")
			}
			e = c.Sub(c.Scale(b, c.target, c.measured.unit, "weighted", "weight * target"), c.measured.id, "error_weighted", "weighted target less measured")
		}
	}
	return c.term("kp", c.gains.P, big.NewRat(1, 1), c.inUnit, e, c.unit, "p", "proportional term")
}

// derivative acts on the measured rate, or on a filtered difference: v += a*(y - v), d = a*(y - v before)/period.
func (c *pid) derivative() program.ID {
	if !c.wanted("kd", c.gains.D) {
		return program.None
	}
	minus := new(big.Rat).Neg(c.factorD)
	if c.Has("measured_rate") {
		r := c.Signal("measured_rate")
		c.sameUnit(r.unit, c.measured.unit+"/s", c.argPos("measured_rate"), "measured_rate")
		for _, k := range []string{"derivative", "derivative_filter"} {
			if c.Has(k) {
				c.fail(c.argPos(k), k, "rate-is-measured", "leave it out", "the derivative acts on the measured rate")
			}
		}
		return c.dTerm(c.perSecondD(minus), r.id, "derivative term, from the measured rate")
	}
	y, sign := c.measured.id, minus
	if c.Word("derivative") == "error" {
		y, sign = c.err, c.factorD
	}
	if c.turn != nil {
		c.fail(c.argPos("kd"), "kd", "difference-on-circle", "measured_rate: (the rate of the angle)", "the difference of an angle jumps at the seam of the circle")
	}
	h := c.Period()
	one := big.NewRat(1, 1)
	a := one
	if c.Has("derivative_filter") {
		tf := c.Seconds("derivative_filter")
		a = new(big.Rat).Quo(h, new(big.Rat).Add(tf, h))
		c.noteFilter("derivative_", "derivative_filter", tf, a)
	}
	perTick := new(big.Rat).Mul(c.perSecondD(sign), new(big.Rat).Quo(a, h))
	if a.Cmp(one) == 0 {
		n, kept := c.State(program.RealState{StateInfo: program.StateInfo{Unit: c.measured.unit, Purpose: program.Copy}, Like: c.measured.id}, "last", "value at the last tick")
		if y == c.err {
			c.p.States[n].Like = y
		}
		c.Update(n, y)
		last := c.Select(c.first, y, kept, "last_from", "value at the last tick, or the first value")
		return c.dTerm(perTick, c.Sub(y, last, "change", "change since the last tick"), "derivative term")
	}
	n, kept := c.State(program.RealState{StateInfo: program.StateInfo{Unit: c.measured.unit, Purpose: program.Accumulator}, Like: y}, "slow", "filtered value of the derivative")
	before := c.Select(c.first, y, kept, "slow_from", "filtered value, or the first value")
	gap := c.Sub(y, before, "ahead", "value less filtered value")
	c.p.Ops[gap].Guard = 4 // the derivative gain amplifies the rounding of the filtered value
	c.Update(n, c.Add(before, c.Scale(a, gap, c.measured.unit, "slow_pull", "share of the gap"), "slow_next", "filtered value moved"))
	return c.dTerm(perTick, gap, "derivative term")
}

// dTerm is the derivative term: kd times factor times a value.
func (c *pid) dTerm(factor *big.Rat, of program.ID, doc string) program.ID {
	id := c.term("kd", c.gains.D, factor, c.inUnit+"*s", of, c.unit, "d", doc)
	c.facts().Derivative = &program.Derivative{Term: id, Of: of, Coef: program.None}
	if op := c.p.Ops[id]; op.Kind == program.Mul {
		c.facts().Derivative.Coef = op.Args[0]
	}
	return id
}

// perSecondD brings the factor of a gain per tick to one per second: kd per tick is kd*rate.
func (c *pid) perSecondD(sign *big.Rat) *big.Rat {
	if c.Word("per") == "tick" {
		return new(big.Rat).Mul(sign, c.Period())
	}
	return sign
}

// perSecondI is ki per second, whatever the spec gives it per.
func (c *pid) perSecondI() *big.Rat {
	return new(big.Rat).Quo(new(big.Rat).Mul(c.gains.I, c.factorI), c.Period())
}

// integral adds ki*period*e to a limited state without rounding, and returns the effort before its limits.
func (c *pid) integral(rest program.ID) program.ID {
	if !c.wanted("ki", c.gains.I) {
		for _, k := range []string{"integral_limits", "tracking_time", "start", "reset"} {
			if c.Has(k) {
				c.fail(c.argPos(k), k, "no-integral", "leave it out, or give ki", "there is no integral term")
			}
		}
		return rest
	}
	limits := c.limits
	if lo, hi := c.Limits("integral_limits", c.unit); lo != nil {
		if c.limits.lo != nil && (lo.Cmp(c.limits.lo) < 0 || hi.Cmp(c.limits.hi) > 0) {
			c.warn(c.argPos("integral_limits"), "integral_limits", "integral-beyond-effort", fmt.Sprintf("integral_limits: [%s, %s]", decimal(interval.Max(lo, c.limits.lo)), decimal(interval.Min(hi, c.limits.hi))),
				"the integral may reach [%s, %s], the effort [%s, %s]: what lies beyond is wound up and has to be wound back", decimal(lo), decimal(hi), decimal(c.limits.lo), decimal(c.limits.hi))
		}
		limits = span{lo: lo, hi: hi}
	}
	lo, hi := limits.lo, limits.hi
	if lo == nil {
		c.fail(c.step.Pos, "", "integral-without-limit", "limits: [low, high] (of the effort)", "the integral has no limit and would overflow: neither limits nor integral_limits nor an output with limits bounds it")
		return rest
	}
	start := c.Number("start", c.unit, new(big.Rat))
	if start.Cmp(lo) < 0 || start.Cmp(hi) > 0 {
		c.fail(c.argPos("start"), "start", "start-outside-limits", "start: "+decimal(interval.Max(lo, interval.Min(start, hi))), "the start %s lies outside the integral's limits [%s, %s]", decimal(start), decimal(lo), decimal(hi))
	}
	n, before := c.State(program.RealState{StateInfo: program.StateInfo{Unit: c.unit, Start: start, Integral: true, Purpose: program.Accumulator}, Like: program.None}, "integral", "integral term")
	c.effort[before] = true
	step := c.term("ki", c.gains.I, c.factorI, c.inUnit+"/s", c.err, c.unit, "i_step", "what this tick adds to the integral")
	next := c.Add(before, step, "integral_moved", "integral with this tick")
	c.Exact(step, next)
	free := next
	if !c.Has("tracking_time") {
		next = c.clamp(next, limits, "integral_limited", "integral inside its limits")
		free = next
	}
	u := c.plus(rest, free, "sum")
	if c.Has("tracking_time") {
		share := new(big.Rat).Quo(c.Period(), c.Seconds("tracking_time"))
		if share.Cmp(big.NewRat(1, 1)) > 0 {
			c.fail(c.argPos("tracking_time"), "tracking_time", "tracking-too-fast", "tracking_time: "+decimal(new(big.Rat).Mul(c.Period(), big.NewRat(2, 1)))+" s or more", "the tracking time is shorter than %s", c.aRun())
		}
		if c.limits.lo == nil {
			c.fail(c.argPos("tracking_time"), "tracking_time", "no-limits", "limits: [low, high]", "tracking needs limits of the effort")
			return u
		}
		over := c.Sub(c.clamp(u, c.limits, "held", "effort as limited"), u, "over", "limited less wanted effort")
		back := c.Scale(share, over, c.unit, "led_back", "share of it led back")
		next = c.Add(next, back, "integral_led_back", "integral led back")
		c.Exact(over, back, next)
		next = c.clamp(next, limits, "integral_limited", "integral inside its limits")
	}
	c.Exact(next)
	c.Update(n, next)
	reset := c.Condition("reset")
	c.facts().Integral = &program.Integral{State: before, Of: c.err, Gain: c.perSecondI(), Lo: lo, Hi: hi, Reset: reset}
	if c.enable != program.None {
		off := c.Logic(program.Not, "off_now", "not enabled", c.enable)
		if reset == program.None {
			reset = off
		} else {
			reset = c.Logic(program.Or, "back", "not enabled, or reset", reset, off)
		}
	}
	if reset != program.None {
		s := &c.p.States[n]
		s.Reset, s.ResetTo = reset, c.Const(start, c.unit, "integral_start")
	}
	return u
}

// wanted tells whether a term is there: its gain is not 0, or may become so while running.
func (c *pid) wanted(key string, value *big.Rat) bool {
	return c.live(key) != nil || value != nil && value.Sign() != 0
}

// term is Term for a part of the effort.
func (c *pid) term(key string, value, factor *big.Rat, gainUnit string, a program.ID, unit, role, doc string) program.ID {
	id := c.Term(key, value, factor, gainUnit, a, unit, role, doc)
	c.effort[id] = true
	return id
}

// countInOutput lets the effort and its terms be counted in counts of the output they end in; the measured value keeps
// its own counts, though its unit may be the same.
func (c *pid) countInOutput() {
	for _, o := range c.spec.Outputs {
		if o.From != c.step.Name {
			continue
		}
		base := new(big.Rat).Inv(new(big.Rat).Abs(o.CountsPerUnit))
		for i := range c.p.Ops {
			op := &c.p.Ops[i]
			if op.Section != c.section || op.Bool {
				continue
			}
			id := program.ID(i)
			for _, a := range op.Args {
				c.effort[id] = c.effort[id] || c.effort[a]
			}
			if c.effort[id] {
				op.Base = base
			}
			if op.Kind == program.State && c.effort[id] {
				c.p.States[op.Index].Base = base
			}
		}
		return
	}
}
