package steps

import "testing"

// TestOtherWords holds the table of other words: each leads to something that there is, and is no word of its own.
func TestOtherWords(t *testing.T) {
	for word, kind := range otherKinds {
		if Find(kind) == nil {
			t.Errorf("%s leads to %s, which is no kind", word, kind)
		}
		if Find(word) != nil {
			t.Errorf("%s is a kind already", word)
		}
	}
	for word, keys := range otherKeys {
		for _, key := range keys {
			found := false
			for _, k := range Kinds() {
				found = found || k.param(key) != nil
				if k.param(key) != nil && k.param(word) == nil && k.keyMeant(word) == "" {
					t.Errorf("%s is not known in a step of kind %s", word, k.Name)
				}
			}
			if !found {
				t.Errorf("%s leads to %s, which no kind has", word, key)
			}
		}
	}
	if k := kindMeant("pi"); k == nil || k.Name != "pid" {
		t.Errorf("pi stands for %v", k)
	}
	if k := kindMeant("neural_network"); k != nil {
		t.Errorf("a neural network is taken for %s", k.Name)
	}
	if got := Find("pid").keyMeant("setpoint"); got != "target" {
		t.Errorf("setpoint stands for %q", got)
	}
}
