package campaign

import (
	"os"
	"path/filepath"
	"testing"
)

// TestClocks sends controllers whose steps run at different ticks through the whole chain: no bit may differ between the integer program, its C and its Go.
func TestClocks(t *testing.T) {
	for _, name := range []string{"clocks", "clocks_mixed"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join("..", "..", "testdata", "specs", name+".yaml")
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			u, fails := Check(t.Context(), filepath.Base(file), text, 20000, 1, true)
			if fails != nil {
				t.Fatalf("%s: %s", fails.What, fails.Why)
			}
			if !u.OK() {
				t.Fatal(u.Findings)
			}
		})
	}
}
