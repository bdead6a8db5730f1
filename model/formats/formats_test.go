package formats_test

import (
	"fmt"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/templates"
)

// TestSearchPricesWhatIsEmitted: formats are chosen by the cost of the program as it leaves the compiler, with the types and ranges that it has there.
func TestSearchPricesWhatIsEmitted(t *testing.T) {
	specs := map[string][]byte{}
	for _, s := range templates.Starters() {
		specs[s] = templates.Starter(s)
	}
	for seed := uint64(15); seed < 25; seed++ {
		name := fmt.Sprintf("r%d", seed)
		specs[name] = arbitrary.New(name, seed).Text()
	}
	priced := 0
	for name, text := range specs {
		u := model.Compile(name, text)
		if !u.OK() || u.Search == nil {
			continue
		}
		if priced++; u.Search.Found != u.Cost.Total {
			t.Errorf("%s: formats were taken for %.2f %s, a tick costs %.2f", name, u.Search.Found, u.Search.Unit, u.Cost.Total)
		}
		if u.Search.Found > u.Search.Rule && len(u.Search.Changed) == 0 {
			t.Errorf("%s: nothing was changed, and it costs %.2f more", name, u.Search.Found-u.Search.Rule)
		}
	}
	if priced < 10 {
		t.Errorf("%d controllers were priced", priced)
	}
}
