package steps

import (
	"math"
	"math/big"

	"gainwright/model/program"
)

func (l *Lowering) note(s program.Setting) {
	section := &l.p.Sections[l.section]
	section.Settings = append(section.Settings, s)
}

// noteFilter notes a first-order filter y += a*(x - y), which the key gives, as time constant, corner frequency and blend.
func (l *Lowering) noteFilter(prefix, key string, tau, a *big.Rat) {
	if given := l.arg(key); given != nil {
		l.facts().Lag = &program.Lag{TimeConstant: tau, Key: key, Text: given.Value.Text, Pull: program.None}
	}
	l.note(program.Setting{Name: prefix + "time_constant", Unit: "s", Value: tau})
	if tau.Sign() > 0 {
		seconds, _ := tau.Float64()
		if f := 1 / (2 * math.Pi * seconds); !math.IsInf(f, 0) {
			l.note(program.Setting{Name: prefix + "cutoff", Unit: "Hz", Value: new(big.Rat).SetFloat64(f)})
		}
	}
	l.note(program.Setting{Name: prefix + "blend", Value: new(big.Rat).Sub(big.NewRat(1, 1), a)})
}

// noteGains notes the gains of the parallel form per second and per tick.
func (c *pid) noteGains() {
	h := c.Period()
	if c.wanted("kp", c.gains.P) {
		c.note(program.Setting{Name: "kp", Unit: c.inUnit, Value: c.gains.P, PerTick: c.gains.P})
	}
	if second := c.perSecondI(); c.wanted("ki", c.gains.I) {
		c.note(program.Setting{Name: "ki", Unit: c.inUnit + "/s", Value: second, PerTick: new(big.Rat).Mul(second, h)})
	}
	if c.wanted("kd", c.gains.D) {
		second := c.perSecondD(c.gains.D)
		c.note(program.Setting{Name: "kd", Unit: c.inUnit + "*s", Value: second, PerTick: new(big.Rat).Quo(second, h)})
	}
}
