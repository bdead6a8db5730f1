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

// LoopExample returns <name>_loop_example.c: a loop around the controller to copy from, for an AVR part with
// avr-libc and, as a stand-in that plays a few ticks, for a computer. It shows the timer interrupt, what to do
// about late and missed ticks, the watchdog, sensor registers into inputs, and outputs as size and direction.
func LoopExample(u *model.Unit) []byte {
	p := u.Integer
	f := newFields(p)
	period := new(big.Rat).Inv(p.Rate)
	watchdog, slow := watchdog(period)
	data := map[string]any{
		"Name": u.Spec.Name, "Upper": strings.ToUpper(u.Spec.Name), "Stamp": stamp(u), "Version": model.Version,
		"File": contract.Plain(base(u.Spec.File)), "Rate": contract.Decimal(p.Rate) + " Hz", "PeriodNum": period.Num().String(),
		"PeriodDen": period.Denom().String(), "Watchdog": watchdog, "Slow": slow, "Word": false, "Long": false, "Signed": false,
		"Build": "avr-gcc -mmcu=atmega328p -Os -I.. " + u.Spec.Name + "_loop_example.c",
	}
	var in, out, safe strings.Builder
	at, switches := 0, 0
	for i, raw := range p.Inputs {
		t := inputType(raw)
		if t == program.Bool {
			in.WriteString(code("    ", fmt.Sprintf("in->%s = read_switch(%du);", f.in[i], switches)))
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
		in.WriteString(code("    ", fmt.Sprintf("in->%s = %s;", f.in[i], bits)))
		at += bytesOf(t)
	}
	if len(p.Inputs) == 0 {
		in.WriteString("    in->none = 0u;\n")
	}
	for i, o := range p.Outputs {
		most := max(p.Ops[o.Value].Hi, -max(p.Ops[o.Value].Lo, -math.MaxInt64), 1)
		value := "(int32_t)out->" + f.out[i]
		if most > 1<<23 { // times 255 in 32 bits
			coarse := most >> 22
			value, most = fmt.Sprintf("(int32_t)(out->%s / %s)", f.out[i], literal(coarse, o.Type)), most/coarse
		}
		out.WriteString(code("    ", fmt.Sprintf("drive_signed(%du, %s, %s);", i, value, literal(most, program.I32))))
		safe.WriteString(code("    ", fmt.Sprintf("drive(%du, 0u, 0u); /* %s */", i, contract.Plain(o.Name))))
	}
	if len(p.Outputs) == 0 {
		out.WriteString("    (void)out;\n")
	}
	data["Registers"], data["Drives"], data["Switches"] = max(at, 1), len(p.Outputs) > 0, switches > 0
	data["Inputs"], data["Outputs"], data["Safe"] = in.String(), out.String(), safe.String()
	return render("c_loop.tmpl", data)
}

// watchdog is the shortest time-out of the AVR watchdog that is two ticks or more. slow tells that there is none.
func watchdog(period *big.Rat) (name string, slow bool) {
	for _, w := range []struct {
		ms   int64
		name string
	}{{15, "15MS"}, {30, "30MS"}, {60, "60MS"}, {120, "120MS"}, {250, "250MS"}, {500, "500MS"}, {1000, "1S"}, {2000, "2S"}, {4000, "4S"}, {8000, "8S"}} {
		if big.NewRat(w.ms, 2000).Cmp(period) >= 0 {
			return "WDTO_" + w.name, false
		}
	}
	return "WDTO_8S", true
}
