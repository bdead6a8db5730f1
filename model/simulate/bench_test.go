package simulate

import "testing"

// BenchmarkCart runs both loops of the cart starter, 605 s at 200 Hz, in real numbers.
func BenchmarkCart(b *testing.B) {
	s := system(b, edited(b, "cart"))
	for b.Loop() {
		s.twice(1)
	}
}
