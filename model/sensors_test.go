package model_test

import (
	"encoding/csv"
	"math/big"
	"os"
	"strings"
	"testing"

	"gainwright/model"
)

// TestSensorScales holds the scales of the starters to those of the ICM-20948 as its data sheet rounds
// them (testdata/reference/imu_scale.csv) and those that the scale words of a recorded log give (imu_log_words.csv).
func TestSensorScales(t *testing.T) {
	known := map[string][]string{} // by unit
	for file, column := range map[string]string{"imu_scale.csv": "data_sheet", "imu_log_words.csv": "counts_per_unit"} {
		text, err := os.ReadFile("../testdata/reference/" + file)
		if err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(strings.NewReader(string(text)))
		r.Comment = '#'
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		at := map[string]int{}
		for i, name := range rows[0] {
			at[name] = i
		}
		for _, row := range rows[1:] {
			known[row[at["unit"]]] = append(known[row[at["unit"]]], row[at[column]])
		}
	}
	held := 0
	for _, name := range []string{"cart", "cart_log", "heading"} {
		src, err := os.ReadFile("../templates/starters/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		u := model.Compile(name+".yaml", src)
		for _, in := range u.Spec.Inputs {
			if in.Unit != "g" && in.Unit != "deg/s" {
				continue
			}
			held++
			found := false
			for _, text := range known[in.Unit] {
				p, ok := new(big.Rat).SetString(text)
				if !ok {
					t.Fatal(text)
				}
				rel := new(big.Rat).Quo(new(big.Rat).Abs(in.CountsPerUnit), p)
				rel.Sub(rel, big.NewRat(1, 1)).Abs(rel)
				found = found || rel.Cmp(big.NewRat(1, 100_000)) <= 0
			}
			if !found {
				t.Errorf("%s: %s has %v counts per %s, known are %v", name, in.Name, in.CountsPerUnit, in.Unit, known[in.Unit])
			}
		}
	}
	if held != 7 {
		t.Errorf("%d sensor scales", held)
	}
}
