package firmware

// wire is an output or a switch of a part by its addresses in data space, from the tables of registers and pins in the data sheets
// of ATmega328P, ATmega2560 and ATmega32U4. PIN, DDR and PORT of a port follow one another.
type wire struct {
	com, shift, ocr int // control register of the timer, where the two bits that connect the pin stand, compare register
	pin, bit        int
	way, wayBit     int
}

type wiring struct {
	outputs  []wire
	switches [][2]int
	ports    []int // PIN registers of all ports
}

const (
	pinB, pinC, pinD, pinE, pinF = 0x23, 0x26, 0x29, 0x2c, 0x2f
	pinA                         = 0x20
	pinH, pinK                   = 0x100, 0x106
)

var wirings = map[string]wiring{
	"atmega328p": {
		outputs:  []wire{{0x44, 6, 0x47, pinD, 6, pinD, 4}, {0x44, 4, 0x48, pinD, 5, pinD, 7}, {0xb0, 4, 0xb4, pinD, 3, pinB, 0}},
		switches: [][2]int{{pinC, 0}, {pinC, 1}, {pinC, 2}, {pinC, 3}},
		ports:    []int{pinB, pinC, pinD},
	},
	"atmega2560": {
		outputs: []wire{{0x90, 6, 0x98, pinE, 3, pinA, 0}, {0x90, 4, 0x9a, pinE, 4, pinA, 1}, {0x90, 2, 0x9c, pinE, 5, pinA, 2},
			{0xa0, 6, 0xa8, pinH, 3, pinA, 3}, {0xa0, 4, 0xaa, pinH, 4, pinA, 4}, {0xa0, 2, 0xac, pinH, 5, pinA, 5},
			{0xb0, 4, 0xb4, pinH, 6, pinA, 6}, {0xb0, 6, 0xb3, pinB, 4, pinA, 7}},
		switches: [][2]int{{pinK, 0}, {pinK, 1}, {pinK, 2}, {pinK, 3}, {pinK, 4}, {pinK, 5}, {pinK, 6}, {pinK, 7}},
		ports:    []int{pinA, pinB, pinC, pinD, pinE, pinF, 0x32, pinH, 0x103, pinK, 0x109},
	},
	"atmega32u4": {
		outputs:  []wire{{0x44, 6, 0x47, pinB, 7, pinB, 5}, {0x90, 6, 0x98, pinC, 6, pinB, 6}},
		switches: [][2]int{{pinD, 4}, {pinD, 6}, {pinD, 7}, {pinB, 4}},
		ports:    []int{pinB, pinC, pinD, pinE, pinF},
	},
}

// kept are pins that an example must leave alone: those of the bus of serial sensors, of SPI, of the first serial port, and of
// crystals, by PIN register and bits.
var kept = map[string]map[int]int{
	"atmega328p": {pinB: 1<<2 | 1<<3 | 1<<4 | 1<<5 | 1<<6 | 1<<7, pinC: 1<<4 | 1<<5 | 1<<6, pinD: 1<<0 | 1<<1},
	"atmega2560": {pinB: 1<<0 | 1<<1 | 1<<2 | 1<<3, pinD: 1<<0 | 1<<1, pinE: 1<<0 | 1<<1},
	"atmega32u4": {pinB: 1<<0 | 1<<1 | 1<<2 | 1<<3, pinD: 1<<0 | 1<<1 | 1<<2 | 1<<3, pinF: 1<<4 | 1<<5 | 1<<6 | 1<<7},
}
