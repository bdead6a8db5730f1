package scale

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// TestArctanTable holds every arctangent on offer against testdata/reference/atan2.csv (the C library's atan2, 4000 pairs of
// int16 over all octants): the error in counts is never above the one proven.
func TestArctanTable(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/atan2.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 4001 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	for _, form := range arctanForms {
		table := newArctan(form.quotient, form.entries, form.fraction)
		most, _ := table.MaxError.Float64()
		perDegree := float64(table.Quarter) / 90
		worst := 0.0
		octants := map[[3]bool]int{}
		for _, row := range rows[1:] {
			y, errY := strconv.ParseInt(row[0], 10, 64)
			x, errX := strconv.ParseInt(row[1], 10, 64)
			want, errW := strconv.ParseFloat(row[2], 64)
			if errY != nil || errX != nil || errW != nil {
				t.Fatalf("row %v", row)
			}
			octants[[3]bool{y < 0, x < 0, max(y, -y) > max(x, -x)}]++
			off := math.Abs(float64(table.Eval(y, x)) - want*perDegree)
			if off > 2*float64(table.Quarter) && want == 180 { // -0 has no place in whole numbers
				t.Errorf("atan2(%d, %d) is %d", y, x, table.Eval(y, x))
			}
			if worst = max(worst, off); off > most {
				t.Errorf("%d bits, %d pieces: atan2(%d, %d) is %d counts, want %.3f, at most %.3f off", form.quotient, 1<<form.entries, y, x, table.Eval(y, x), want*perDegree, most)
			}
		}
		for o, n := range octants {
			if n < 300 {
				t.Errorf("octant %v was tried %d times", o, n)
			}
		}
		t.Logf("%d bits, %d pieces, %d fraction bits: proven %.3f counts = %.5f deg, seen %.3f", form.quotient, 1<<form.entries, form.fraction, most, most/perDegree, worst)
		if len(octants) != 8 || worst < most/2 {
			t.Errorf("%d octants; %.3f counts seen of %.3f proven: the bound is loose or the table thin", len(octants), worst, most)
		}
	}
}

// TestArctanForms: the forms get better one after the other, so that the first one good enough is the cheapest.
func TestArctanForms(t *testing.T) {
	last := math.Inf(1)
	for _, form := range arctanForms {
		table := newArctan(form.quotient, form.entries, form.fraction)
		e, _ := table.MaxError.Float64()
		if e *= 90 / float64(table.Quarter); e >= last {
			t.Errorf("%+v has an error of %v deg, the one before %v", form, e, last)
		} else {
			last = e
		}
	}
}
