package arbitrary

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
)

// drawMore adds to one controller in three a sum of angles that goes around a circle, and says what one count of a setter is for
// some gains. It has random numbers of its own, so that what was drawn before it stays what it was.
func (d *draw) drawMore(seed uint64) {
	d.Rand = rand.New(rand.NewPCG(seed, 0x51c7))
	if d.one(3) {
		d.mixedAngles()
	}
	for i, k := range d.spec.Tuning {
		if d.one(3) {
			d.spec.Tuning[i].Text = d.counted(k.Text)
		}
	}
}

// mixedAngles adds two angles that a sum weighs, the sum wrapped, and what reads it around the circle, on a line behind its seam, or both.
func (d *draw) mixedAngles() {
	unit := d.pick("deg", "turn")
	turn := turns[unit]
	raw := d.pick("int16", "int16", "uint16", "int8")
	most := ends[raw][1]
	// An even whole number of counts a turn, as it must be, of both axes alike.
	text := fmt.Sprint(2 * math.Round(most/d.between(0.6, 3.2)))
	if unit == "deg" {
		text += "/360"
	}
	var of []string
	for range 2 {
		p := Part{Name: d.name()}
		p.set("raw", "%s", raw)
		p.set("unit", "%s", unit)
		p.set("counts_per_unit", "%s", text)
		d.spec.Inputs = append(d.spec.Inputs, p)
		of = append(of, fmt.Sprintf("%s: %s", p.Name, d.number(d.between(0.1, 0.7)*float64(1-2*d.IntN(2)))))
	}
	read := func(kind, of string) string {
		p := Part{Name: d.name()}
		p.set("kind", "%s", kind)
		p.set("of", "%s", of)
		d.spec.Steps = append(d.spec.Steps, p)
		return p.Name
	}
	around := read("wrap", read("sum", "{"+strings.Join(of, ", ")+"}"))
	from := around
	switch d.IntN(4) {
	case 0: // on a line, behind the seam
		from = read("sum", "{"+around+": "+d.number(d.between(0.1, 0.9))+"}")
	case 1: // less another angle, around the circle once more
		from = read("wrap", read("sum", "{"+around+": -1, "+d.spec.Inputs[len(d.spec.Inputs)-1].Name+": 1}"))
	}
	out := Part{Name: d.name()}
	out.set("from", "%s", from)
	out.set("raw", "int16")
	out.set("unit", "%s", unit)
	out.set("counts_per_unit", "%s", digits(32767/turn*d.scaled(0.05, 1.9), 6))
	d.spec.Outputs = append(d.spec.Outputs, out)
}

// counted adds the count of a setter, a power of ten of which a few thousand make the range.
func (d *draw) counted(span string) string {
	lo, hi, _ := strings.Cut(strings.Trim(span, "[]"), ", ")
	a, _ := strconv.ParseFloat(lo, 64)
	b, _ := strconv.ParseFloat(hi, 64)
	size := max(math.Abs(a), math.Abs(b))
	n := int(math.Ceil(math.Log10(100/size))) + d.IntN(3)
	if n < 0 || n > 9 {
		return span
	}
	count := "1"
	if n > 0 {
		count = "0." + strings.Repeat("0", n-1) + "1"
	}
	return fmt.Sprintf("{range: %s, count: %s}", span, count)
}
