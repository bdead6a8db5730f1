package templates

import (
	"slices"
	"strings"
	"testing"
)

// The spec for the recorded log is the controller of the starter cart but for its name, its rate and the scales
// of the sensors. What they begin with is not compared: cautions are for a machine, and only one of the two describes it.
func TestLogSpecIsTheCart(t *testing.T) {
	controller, _, _ := strings.Cut(string(Starter("cart")), "\n\n# The cart, with invented parts")
	_, controller, _ = strings.Cut(controller, "\ncontroller:")
	_, recorded, _ := strings.Cut(string(RecordedLog()["cart_log.yaml"]), "\ncontroller:")
	cart := strings.Split("controller:"+strings.TrimRight(controller, "\n")+"\n", "\n")
	log := strings.Split("controller:"+recorded, "\n")
	if len(cart) != len(log) {
		t.Fatalf("%d and %d lines", len(cart), len(log))
	}
	var keys []string
	for i := range cart {
		if cart[i] != log[i] {
			key, _, _ := strings.Cut(strings.TrimSpace(cart[i]), ":")
			keys = append(keys, key)
			if !strings.HasPrefix(strings.TrimSpace(log[i]), key+":") {
				t.Errorf("line %d is %q and %q", i+1, cart[i], log[i])
			}
		}
	}
	if want := []string{"controller", "about", "rate", "accel_forward", "accel_up", "pitch_rate"}; !slices.Equal(keys, want) {
		t.Errorf("lines that differ: %v, expected %v", keys, want)
	}
}

func TestStartersSayWhatTheyAre(t *testing.T) {
	for _, name := range Starters() {
		if About(name) == "" {
			t.Errorf("%s has no line about", name)
		}
	}
	if header := strings.SplitN(string(RecordedLog()["cart_log.csv"]), "\n", 2)[0]; header != "t,accel_forward,accel_up,pitch_rate" {
		t.Errorf("columns of the log: %s", header)
	}
	if !strings.Contains(string(RecordedLog()["cart_log.license.txt"]), "MIT") {
		t.Error("the log has no licence beside it")
	}
}
