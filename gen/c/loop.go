package c

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// LoopExample returns <name>_loop_example.c: a loop around the controller to copy from, for AVR parts with
// avr-libc and, as a stand-in that plays some ticks, for a computer. It shows the timer interrupt, what to do about
// late and missed ticks and a silent sensor, the watchdog, a run switch, sensor registers into inputs, and
// outputs as size and direction.
func LoopExample(u *model.Unit) []byte {
	p := u.Integer
	data := map[string]any{
		"Name": u.Spec.Name, "Upper": strings.ToUpper(u.Spec.Name), "Stamp": stamp(u), "Version": model.Version,
		"File": contract.Plain(base(u.Spec.File)), "Cautions": cautions(), "Word": false, "Long": false, "Signed": false, "Gains": len(p.Gains) > 0,
		"Build": "avr-gcc -mmcu=atmega328p -Os -DF_CPU=16000000 -I.. " + u.Spec.Name + "_loop_example.c",
	}
	data["Keeps"] = u.KeepsIntegrals()
	loopTimes(new(big.Rat).Inv(p.Rate), data)
	loopInputs(u, data)
	loopTrips(p, data)
	loopWindsUp(p, data)
	loopOutputs(p, data)
	loopPins(p, data)
	return render("c_loop.tmpl", data)
}

// loopInputs fills in how registers and switches become inputs. Where no switch is the run switch the example has one of its own, behind those of
// the spec.
func loopInputs(u *model.Unit, data map[string]any) {
	p := u.Integer
	run, found := runSwitch(p)
	f := newFields(p)
	var in strings.Builder
	var wanted []string
	at, switches := 0, 0
	for i, raw := range p.Inputs {
		t := inputType(raw)
		if t == program.Bool {
			if found && p.Ops[run].Index == i {
				in.WriteString(code("    ", fmt.Sprintf("in->%s = may_run;", f.in[i].Name)))
				data["RunSwitch"], data["RunNumber"] = contract.Plain(raw.Name), switches
			} else {
				in.WriteString(code("    ", fmt.Sprintf("in->%s = read_switch(%du);", f.in[i].Name, switches)))
			}
			switches++
			continue
		}
		bits := fmt.Sprintf("registers[%d]", at)
		switch t.Bits() {
		case 16:
			bits = fmt.Sprintf("word_at(&registers[%d])", at)
			data["Word"] = true
		case 32:
			bits = fmt.Sprintf("long_at(&registers[%d])", at)
			data["Long"] = true
		}
		if t.Signed() {
			data["Signed"] = true
			bits = fmt.Sprintf("signed_of(%s, UINT32_C(0x%x))", bits, uint64(1)<<(t.Bits()-1))
			if t.Bits() < 32 {
				bits = "(" + ctype(t) + ")" + bits
			}
		}
		in.WriteString(code("    ", fmt.Sprintf("in->%s = %s;", f.in[i].Name, bits)))
		wanted = append(wanted, fmt.Sprintf(" *     registers[%d]: %s, %d bits\n", at, contract.Plain(raw.Name), t.Bits()))
		at += bytesOf(t)
	}
	if len(p.Inputs) == 0 {
		in.WriteString("    in->none = 0u;\n")
	}
	data["Inputs"], data["Wanted"], data["Registers"] = in.String(), strings.Join(wanted, ""), max(at, 1)
	data["OwnSwitch"] = !found
	if !found {
		data["RunNumber"] = switches
	}
}

// loopOutputs fills in how outputs are driven.
func loopOutputs(p *program.Fixed, data map[string]any) {
	f := newFields(p)
	var out strings.Builder
	for i, o := range p.Outputs {
		most := max(p.Ops[o.Value].Hi, -max(p.Ops[o.Value].Lo, -math.MaxInt64), 1)
		value := "(int32_t)out->" + f.out[i].Name
		if most > 1<<23 { // times 255 in 32 bits
			coarse := most >> 22
			value, most = fmt.Sprintf("(int32_t)(out->%s / %s)", f.out[i].Name, literal(coarse, o.Type)), most/coarse
		}
		out.WriteString(code("    ", fmt.Sprintf("drive_signed(%du, %s, %s); /* %s */", i, value, literal(most, program.I32), contract.Plain(o.Name))))
	}
	if len(p.Outputs) == 0 {
		out.WriteString("    (void)out;\n")
	}
	data["Outputs"], data["Drives"] = out.String(), len(p.Outputs) > 0
}
