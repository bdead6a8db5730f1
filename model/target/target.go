// Package target says what the parts are that code can be made for. A target is a value: what depends on it asks for one of its
// properties, and nothing compares its name.
package target

// Unit is what the cost of a tick is counted in.
type Unit string

// Cycles are those of the core, each instruction of which takes a known number of them: the longest path through the machine code is the worst
// tick. Instructions are those that an instruction-set simulator retires.
const (
	Cycles       Unit = "cycles"
	Instructions Unit = "instructions"
)

// Target is a kind of part.
type Target struct {
	Name      string // as the spec writes it
	Word      uint   // bits that it computes with at once
	Forms     bool   // the C has forms in assembly for AVR, each beside a twin that runs anywhere
	Barrel    bool   // a shift by any number of bits costs the same; elsewhere whole bytes are moves, and the rest goes bit by bit
	Short     bool   // instructions of 16 bits: constants of 8 bits and offsets of 5 stand in them, others take more
	Long      bool   // those of 16 and 32: a constant takes one at most, sums take shifts and products in, and two words are loaded or stored at once
	Product   uint   // bits of the widest product that an instruction or two give
	Carry     bool   // a sum hands its carry on to the next word
	Divide    bool   // it has a division
	Registers Registers
	Unit      Unit    // of costs; empty: they are not known
	Clock     float64 // Hz, a usual one of boards with such parts: common practice, no source
	Like      string  // the target whose costs the search of formats goes by; empty: its own
}

// Registers say how many words find room beside those that an operation works with.
type Registers struct {
	Free  int  // without being saved
	Saved int  // by a function that uses them
	Push  bool // one instruction saves all that are used
	Far   int  // more, also saved, that instructions do not compute in
}

// Default is what code is made for where the spec names no part: whatever runs it, a wider word is not cheaper.
const Default = "portable"

// all are the targets, in the order in which people read them. Free on AVR counts the bytes of three pointers too.
var all = []*Target{
	{Name: "avr8", Word: 8, Forms: true, Product: 16, Carry: true, Registers: Registers{Free: 12, Saved: 18}, Unit: Cycles, Clock: 16e6},
	{Name: "cortex-m0", Word: 32, Barrel: true, Short: true, Product: 32, Carry: true, Registers: Registers{Saved: 4, Push: true, Far: 4}, Unit: Instructions, Clock: 48e6},
	{Name: "cortex-m4", Word: 32, Barrel: true, Long: true, Product: 64, Carry: true, Divide: true, Registers: Registers{Free: 5, Saved: 9, Push: true}, Unit: Instructions, Clock: 80e6},
	{Name: "rv32imc", Word: 32, Barrel: true, Product: 64, Divide: true, Registers: Registers{Free: 13, Saved: 12}, Unit: Instructions, Clock: 48e6},
	{Name: Default, Word: 8, Forms: true, Barrel: true, Product: 16, Carry: true, Like: "cortex-m0"},
}

// Named returns the target of that name, or nil where there is none.
func Named(name string) *Target {
	for _, t := range all {
		if t.Name == name {
			return t
		}
	}
	return nil
}

// Names lists the targets as the spec writes them.
func Names() (names []string) {
	for _, t := range all {
		names = append(names, t.Name)
	}
	return names
}

// Hints lead from names of parts to the target that their code is tuned for; the one for the empty word holds where nothing else is known.
func Hints() map[string]string {
	const everywhere = Default + ", which runs everywhere"
	return map[string]string{
		"avr": "avr8", "atmega328p": "avr8", "atmega328": "avr8", "attiny": "avr8",
		"arm": "cortex-m0, or cortex-m4", "cortex-m7": "cortex-m4", "stm32": "cortex-m4, or " + everywhere,
		"riscv": "rv32imc", "rv32": "rv32imc", "esp32": everywhere, "": everywhere,
	}
}
