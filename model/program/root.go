package program

// NearestRoot is the whole number next to the square root of a, which is at most 2^62; 0 where a is less than that.
func NearestRoot(a int64) int64 {
	rest, root := max(a, 0), int64(0)
	for bit := int64(1) << 62; bit != 0; bit >>= 2 {
		if rest >= root+bit {
			rest -= root + bit
			root = root>>1 + bit
		} else {
			root >>= 1
		}
	}
	if rest > root { // root*(root+1) < a: the root is beyond the middle
		root++
	}
	return root
}
