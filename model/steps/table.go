package steps

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/program"
	"gainwright/model/spec"
)

// mostPoints is how many points a table may have: its line is found by comparisons, which stand in the code.
const mostPoints = 64

var tableKind = &Kind{
	Name:     "table",
	Doc:      "Looks a signal up: straight lines between points, held beyond the first and the last.",
	Equation: "y = y0 + (of - x0) * (y1 - y0) / (x1 - x0) between the points (x0, y0) and (x1, y1)",
	Source:   "NIST Digital Library of Mathematical Functions, 3.3(ii) linear interpolation",
	Units:    "own = unit",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal that is looked up"},
		{Key: "points", Form: Points, Required: true, Doc: fmt.Sprintf("[[x, y], ...], x rising: 2 to %d of them", mostPoints)},
		{Key: "unit", Form: Unit, Required: true, Doc: "unit of the result"},
	},
	Lower: func(l *Lowering) {
		x, unit := l.Signal("of"), l.arg("unit").Value.Text
		points := l.points(x.unit, unit)
		if len(points) < 2 {
			return
		}
		var text []string
		for _, p := range points {
			text = append(text, fmt.Sprintf("(%s, %s)", decimal(p.X), decimal(p.Y)))
		}
		if len(text) > 6 {
			text = append(append(text[:3:3], "..."), text[len(text)-2:]...)
		}
		l.Equation("%s = straight lines through %s at %s", l.step.Name, strings.Join(text, ", "), l.arg("of").Value.Text)
		l.Publish(l.add(program.RealOp{Op: program.Op{Kind: program.Table, Args: []program.ID{x.id}, Unit: unit}, Points: points}, "looked_up", "between the points"), "", nil)
	},
}

// points reads the points of a table: pairs of numbers, the first of each in the unit of what is looked up and rising, the second in that of the result.
func (l *Lowering) points(of, unit string) (out []program.Point) {
	const key = "points"
	list := l.arg(key).Value
	if n := len(list.Items); n < 2 || n > mostPoints {
		l.fail(list.Pos, key, "too-few-points", fmt.Sprintf("points: [[0, 0], [10, 4]], 2 to %d of them", mostPoints), "%d points are given, 2 to %d are expected", n, mostPoints)
		return nil
	}
	if !slices.ContainsFunc(list.Items, func(v spec.Value) bool { return v.Shape == spec.List }) {
		l.fail(list.Pos, key, "not-a-point", "points: ["+paired(list.Items)+"]", "%d values stand here, pairs [x, y] are expected", len(list.Items))
		return nil
	}
	before := len(*l.findings)
	for _, v := range list.Items {
		if v.Shape != spec.List || len(v.Items) != 2 {
			l.fail(v.Pos, key, "not-a-point", "[0.5, 20]: first a value of "+l.arg("of").Value.Text+", then what it stands for", "%s stands here, a pair [x, y] is expected", shown(v))
			continue
		}
		p := program.Point{X: l.quantity(v.Items[0], key, of), Y: l.quantity(v.Items[1], key, unit), Line: v.Pos.Line, Col: v.Pos.Col}
		if n := len(out); n > 0 && len(*l.findings) == before && out[n-1].X.Cmp(p.X) >= 0 {
			l.fail(v.Pos, key, "points-out-of-order", inOrder(list, v), "the point at %s stands behind one at %s: they are to rise", decimal(p.X), decimal(out[n-1].X))
			return nil
		}
		out = append(out, p)
	}
	if len(*l.findings) > before {
		return nil
	}
	return out
}

// paired writes a few numbers in pairs.
func paired(list []spec.Value) string {
	if len(list)%2 != 0 || len(list) > 8 {
		return "[0, 0], [10, 4]"
	}
	var out []string
	for i := 0; i < len(list); i += 2 {
		out = append(out, "["+list[i].Text+", "+list[i+1].Text+"]")
	}
	return strings.Join(out, ", ")
}

// inOrder is what to write for points that do not rise.
func inOrder(list, at spec.Value) string {
	number := func(v spec.Value) *big.Rat {
		q, err := spec.ParseQuantity(v.Text)
		if err != nil {
			return nil
		}
		return q.Number
	}
	falls, last := true, (*big.Rat)(nil)
	for _, p := range list.Items {
		if len(p.Items) != 2 || number(p.Items[0]) == nil {
			return "the points in the order of their first numbers"
		}
		if x := number(p.Items[0]); last != nil && x.Cmp(last) >= 0 {
			falls = false
		} else {
			last = x
		}
	}
	for _, p := range list.Items {
		if p.Pos != at.Pos && number(p.Items[0]).Cmp(number(at.Items[0])) == 0 {
			return "one of the points at " + at.Items[0].Text + " left out: a jump is not a line"
		}
	}
	if falls {
		return "the same points in reverse order"
	}
	return "the points in the order of their first numbers"
}
