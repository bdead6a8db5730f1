package plant

import "gainwright/model/fields"

// Battery is a supply that sags: an open-circuit voltage that falls in proportion to the charge drawn, behind
// an internal resistance.
type Battery struct {
	Voltage    float64 // open circuit at the start, V
	Empty      float64 // open circuit when the whole capacity is drawn, V
	Capacity   float64 // A.s; 0: endless
	Resistance float64 // Ohm
	Load       float64 // current of everything else, A
	BrownOut   float64 // below this voltage the controller stops; 0: never
	Restart    float64 // seconds until it starts again
}

func (p *Plant) readBattery(m *fields.Map) {
	a := m.Arg("battery")
	if a == nil {
		return
	}
	p.Battery = &Battery{} // there is one, whatever is wrong with it
	b := m.Below("a battery", *a, "{voltage: 7.4 V, resistance: 0.2 Ohm}")
	if b == nil {
		return
	}
	const at = "battery."
	if b.Need("voltage", "7.4 V") != nil {
		p.number(b, at, "voltage", "V", 1, 1e-3, 1e6, "")
	}
	if b.Need("resistance", "0.2 Ohm") != nil {
		p.number(b, at, "resistance", "Ohm", 0, 0, 1e6, "")
	}
	volts := p.Values[at+"voltage"]
	p.number(b, at, "empty", "V", volts, 0, volts, ": at most the voltage at the start")
	p.number(b, at, "capacity", "A.s", 0, 0, 1e12, "")
	p.number(b, at, "load", "A", 0, 0, 1e6, "")
	p.number(b, at, "brown_out", "V", 0, 0, volts, ": at most the voltage at the start")
	p.number(b, at, "restart", "s", 0.1, 0, 1e6, "")
	if b.Has("empty") && !b.Has("capacity") {
		b.Say(b.Pos, "capacity", "missing-key", "capacity: 1500 mAh", "a battery that runs empty needs the key capacity")
	}
	b.Done()
}

func (b *Battery) fill(v Values) {
	b.Voltage, b.Empty, b.Capacity, b.Resistance = v["battery.voltage"], v["battery.empty"], v["battery.capacity"], v["battery.resistance"]
	b.Load, b.BrownOut, b.Restart = v["battery.load"], v["battery.brown_out"], v["battery.restart"]
}

// Open is the open-circuit voltage after a charge in A.s was drawn.
func (b *Battery) Open(drawn float64) float64 {
	if b.Capacity == 0 {
		return b.Voltage
	}
	return b.Voltage - (b.Voltage-b.Empty)*min(max(drawn/b.Capacity, 0), 1)
}
