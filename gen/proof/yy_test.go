package proof

import (
	"gainwright/model"
	"os"
	"testing"
)

func TestYY(t *testing.T) {
	b, _ := os.ReadFile("../../templates/starters/cart.yaml")
	u := model.Compile("cart.yaml", b)
	files, err := Files(u)
	if err != nil {
		t.Fatal(err)
	}
	for k, v := range files {
		os.WriteFile("/tmp/pf/cart/"+k, v, 0o644)
	}
}
