package main

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/gen"
	"gainwright/model"
	"gainwright/model/spec"
)

// settersStay refuses files in which one count of a setter would not mean what it means in those that stand there, unless
// the spec says in so many words what it means: firmware that calls the setter would set another gain.
func settersStay(u *model.Unit, before *gen.Record, files map[string][]byte) error {
	if before == nil {
		return nil
	}
	after, err := gen.ReadRecord(files[gen.RecordName])
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, c := range gen.CountChanges(before, after) {
		for _, t := range u.Spec.Tuning {
			if t.Key == c.Key && t.Count == nil {
				changedCount(&b, t, c)
			}
		}
	}
	if b.Len() == 0 {
		return nil
	}
	return failure{findings, "nothing is written: firmware that sets a live gain would set another one, since one count of its setter follows from the range below tuning, which changed" + b.String()}
}

// changedCount says both counts of a setter and what to write for each.
func changedCount(b *strings.Builder, t spec.Tuning, c gen.CountChange) {
	line := func(count string) string {
		return fmt.Sprintf("%s: {range: [%s, %s], count: %s}", t.Key, plain(t.Lo), plain(t.Hi), count)
	}
	fmt.Fprintf(b, "\n  %s: one count was %s and would be %s", t.Key, c.Was, c.Now)
	if was, ok := new(big.Rat).SetString(c.Was); ok && t.Fits(was) {
		fmt.Fprintf(b, "\n    to keep it, write below tuning    %s", line(c.Was))
	} else {
		fmt.Fprintf(b, "\n    it cannot stay: this range cannot be set in counts of %s", c.Was)
	}
	if now, ok := new(big.Rat).SetString(c.Now); ok && t.Fits(now) {
		fmt.Fprintf(b, "\n    to change it, write below tuning  %s", line(c.Now))
	}
}

// plain writes a number of the spec as a decimal.
func plain(x *big.Rat) string {
	text := x.FloatString(40)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
