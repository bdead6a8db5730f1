package c

import (
	"math/big"

	"gainwright/model/interval"
)

// How many ticks in a row change what the loop does: wrong ones start the controller over, and good ones let it drive.
const (
	restartAfter = 3
	driveAfter   = 4
)

// offFor is how long the run switch must be off at least where it counts as switched off, in milliseconds: longer than contacts bounce, and than most disturbances last
// (common practice, no source).
const offFor = 20

// looks is how often a second the timer's interrupt comes at least, to look at the run switch and to wake the loop up, which feeds the watchdog.
const looks = 100

// loopTimes fills in the times of a loop with the given tick, in seconds.
func loopTimes(tick *big.Rat, data map[string]any) {
	parts := big.NewInt(1)
	if each := new(big.Rat).Mul(tick, big.NewRat(looks, 1)); each.Cmp(big.NewRat(1, 1)) > 0 {
		parts = interval.Ceil(each)
	}
	data["PartsOfTick"], data["CountBits"] = parts.String(), 32
	for _, bits := range []int{16, 8} {
		if parts.BitLen() <= bits {
			data["CountBits"] = bits
		}
	}
	num, den := printable(tick)
	data["PeriodNum"], data["PeriodDen"] = num.String(), den.String()

	look := new(big.Rat).Quo(tick, new(big.Rat).SetInt(parts))
	offLooks := interval.Ceil(new(big.Rat).Quo(big.NewRat(offFor, 1000), look))
	offLooks.Add(offLooks, big.NewInt(2)) // the first may be so late that it stands at the second; n others span n - 1 times between them
	if offLooks.BitLen() > 15 {
		offLooks.SetInt64(1 << 15)
	}
	data["OffLooks"] = offLooks.String()
	data["OffTime"] = duration(new(big.Rat).Mul(look, new(big.Rat).SetInt(offLooks)))
	data["OffLeast"] = duration(new(big.Rat).Mul(look, new(big.Rat).SetInt(new(big.Int).Sub(offLooks, big.NewInt(2)))))
	data["LookTime"] = duration(look)

	resetAfter := int64(restartAfter + 1)
	if tenth := interval.Ceil(new(big.Rat).Inv(new(big.Rat).Mul(tick, big.NewRat(10, 1)))); tenth.Cmp(big.NewInt(resetAfter)) > 0 {
		resetAfter = 60000
		if tenth.Cmp(big.NewInt(resetAfter)) < 0 {
			resetAfter = tenth.Int64()
		}
	}
	name, after := watchdog(tick)
	data["Watchdog"], data["WatchdogTime"] = name, "about "+duration(after)
	data["RestartAfter"], data["DriveAfter"], data["ResetAfter"] = restartAfter, driveAfter, resetAfter
	data["Tick"], data["TwoTicks"] = duration(tick), duration(new(big.Rat).Add(tick, tick))
	ticks := func(n int64) *big.Rat { return new(big.Rat).Mul(tick, big.NewRat(n, 1)) }
	data["RestartTime"], data["DriveTime"], data["ResetTime"] = duration(ticks(restartAfter)), duration(ticks(driveAfter)), duration(ticks(resetAfter))
	data["SilentTime"] = "about " + duration(new(big.Rat).Add(ticks(resetAfter), after))
}

// watchdog is the shortest time-out of the AVR watchdog, in seconds, that is two ticks or more; at ticks of more than a second, two
// seconds: the loop wakes up more often than that. The times are whole numbers of cycles of 1/128 kHz (ATmega328P data sheet, watchdog timer
// prescale select).
func watchdog(tick *big.Rat) (name string, after *big.Rat) {
	for _, w := range []struct {
		ms   int64
		name string
	}{{16, "15MS"}, {32, "30MS"}, {64, "60MS"}, {128, "120MS"}, {256, "250MS"}, {512, "500MS"}, {1024, "1S"}} {
		if big.NewRat(w.ms, 2000).Cmp(tick) >= 0 {
			return "WDTO_" + w.name, big.NewRat(w.ms, 1000)
		}
	}
	return "WDTO_2S", big.NewRat(2048, 1000)
}

// duration is a time in seconds as text, in the largest unit that it has one of.
func duration(t *big.Rat) string { return period(new(big.Rat).Inv(t)) }

// printable is x as a fraction whose parts can be multiplied by any clock in 64 bits, with eight digits at least.
func printable(x *big.Rat) (num, den *big.Int) {
	num, den = new(big.Int).Set(x.Num()), new(big.Int).Set(x.Denom())
	for num.BitLen() > 36 || den.BitLen() > 36 {
		num.Rsh(num, 1)
		den.Rsh(den, 1)
	}
	if den.Sign() == 0 {
		den.SetInt64(1)
	}
	return num, den
}
