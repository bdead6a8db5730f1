package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// boardPart is an AVR part with the pins that the loop example takes of it, in the order in which it takes them. They keep off the buses
// of serial sensors (SDA, SCL) and SPI, the first serial port, JTAG, reset and crystals, and off timer 1.
type boardPart struct {
	macro, name string
	mostHz      int // speed grades of the data sheet
	outputs     []channel
	switches    []pin
}

// pin is the letter of a port and a bit.
type pin struct {
	port string
	bit  int
}

func (p pin) String() string { return fmt.Sprintf("%s, %d", p.port, p.bit) }

// label is the pin's name in the data sheet.
func (p pin) label() string { return fmt.Sprintf("P%s%d", p.port, p.bit) }

// channel is a PWM pin with its timer, the timer's channel, and the pin that says which way.
type channel struct {
	pin
	timer   int
	channel string
	way     pin
}

// boards are from the pin tables of the data sheets of ATmega328P, ATmega640/1280/2560 and ATmega16U4/32U4.
var boards = []boardPart{
	{macro: "__AVR_ATmega328P__", name: "ATmega328P", mostHz: 20_000_000,
		outputs:  []channel{{pin{"D", 6}, 0, "A", pin{"D", 4}}, {pin{"D", 5}, 0, "B", pin{"D", 7}}, {pin{"D", 3}, 2, "B", pin{"B", 0}}},
		switches: []pin{{"C", 0}, {"C", 1}, {"C", 2}, {"C", 3}}},
	{macro: "__AVR_ATmega2560__", name: "ATmega2560", mostHz: 16_000_000,
		outputs: []channel{{pin{"E", 3}, 3, "A", pin{"A", 0}}, {pin{"E", 4}, 3, "B", pin{"A", 1}}, {pin{"E", 5}, 3, "C", pin{"A", 2}},
			{pin{"H", 3}, 4, "A", pin{"A", 3}}, {pin{"H", 4}, 4, "B", pin{"A", 4}}, {pin{"H", 5}, 4, "C", pin{"A", 5}},
			{pin{"H", 6}, 2, "B", pin{"A", 6}}, {pin{"B", 4}, 2, "A", pin{"A", 7}}},
		switches: []pin{{"K", 0}, {"K", 1}, {"K", 2}, {"K", 3}, {"K", 4}, {"K", 5}, {"K", 6}, {"K", 7}}},
	{macro: "__AVR_ATmega32U4__", name: "ATmega32U4", mostHz: 16_000_000,
		outputs:  []channel{{pin{"B", 7}, 0, "A", pin{"B", 5}}, {pin{"C", 6}, 3, "A", pin{"B", 6}}},
		switches: []pin{{"D", 4}, {"D", 6}, {"D", 7}, {"B", 4}}},
}

// pinTable is what the frame writes for one part.
type pinTable struct {
	Macro, Lacks                     string
	MostHz                           int
	Wires, Outputs, Switches, Timers []string
}

// loopPins fills in the table of pins of each part, or what the part lacks.
func loopPins(p *program.Fixed, data map[string]any) {
	var names []string // of switches
	for _, in := range p.Inputs {
		if inputType(in) == program.Bool {
			names = append(names, contract.Plain(in.Name))
		}
	}
	if data["OwnSwitch"] == true {
		names = append(names, "to run")
	}
	switches := len(names)
	var tables []pinTable
	var known []string
	for _, b := range boards {
		known = append(known, b.name)
		t := pinTable{Macro: b.macro, MostHz: b.mostHz}
		if len(p.Outputs) > len(b.outputs) || switches > len(b.switches) {
			t.Lacks = fmt.Sprintf("outputs: %d of %d, switches: %d of %d of an %s: extend its table or use a larger part",
				len(p.Outputs), len(b.outputs), switches, len(b.switches), b.name)
			tables = append(tables, t)
			continue
		}
		started := map[int]bool{}
		for i, o := range p.Outputs {
			c := b.outputs[i]
			n := c.timer
			row := fmt.Sprintf("WAY(%d, %s, TCCR%dA, COM%d%s1, OCR%d%s", i, c.pin, n, n, c.channel, n, c.channel)
			wire := fmt.Sprintf("output %d, %s: PWM at %s", i, contract.Plain(o.Name), c.pin.label())
			if p.Ops[o.Value].Lo < 0 {
				wire += ", direction at " + c.way.label() + ", low is forward"
			}
			t.Wires = append(t.Wires, wire)
			if p.Ops[o.Value].Lo < 0 {
				t.Outputs = append(t.Outputs, "TWO_"+row+", "+c.way.String()+")")
			} else {
				t.Outputs = append(t.Outputs, "ONE_"+row+")")
			}
			if !started[n] {
				started[n] = true
				t.Timers = append(t.Timers, startPWM(n))
			}
		}
		for i, s := range b.switches[:switches] {
			t.Wires = append(t.Wires, fmt.Sprintf("switch %d, %s: from %s to ground", i, names[i], s.label()))
			t.Switches = append(t.Switches, fmt.Sprintf("SWITCH(%d, %s)", i, s))
		}
		tables = append(tables, t)
	}
	data["Parts"], data["PartNames"] = tables, strings.Join(known, ", ")
}

// startPWM starts a timer in fast PWM from 0 to 255: timers 0 and 2 have 8 bits, the others 16 and a mode of 8 bits.
func startPWM(n int) string {
	if n == 0 || n == 2 {
		return fmt.Sprintf("TCCR%[1]dA = (1 << WGM%[1]d1) | (1 << WGM%[1]d0); TCCR%[1]dB = 1 << CS%[1]d1;", n)
	}
	return fmt.Sprintf("TCCR%[1]dA = 1 << WGM%[1]d0; TCCR%[1]dB = (1 << WGM%[1]d2) | (1 << CS%[1]d1);", n)
}
