package trial

const batchTicks = 1024

// batch is some ticks on their way through the machines.
type batch struct {
	layout       Layout
	restart      int // which run of its kind
	first, ticks int
	records      []int64
	want         []int64 // what a target must give
	signals      []int64 // of the integer program, counts
	states       []int64 // before the first tick
	coefs        []int64
}

func newBatch(t *trial) *batch {
	return &batch{layout: t.layout, records: make([]int64, batchTicks*t.layout.In), want: make([]int64, batchTicks*t.layout.Out),
		signals: make([]int64, batchTicks*len(t.signals)), states: make([]int64, len(t.integer.State)), coefs: make([]int64, len(t.coefs))}
}

// begin empties the batch and notes where the integer program stands.
func (b *batch) begin(t *trial, restart, first, ticks int) {
	b.restart, b.first, b.ticks = restart, first, ticks
	copy(b.states, t.integer.State)
	copy(b.coefs, t.coefs)
	clear(b.records)
}

func (b *batch) record(n int) []int64 { return b.records[n*b.layout.In:][:b.layout.In] }
func (b *batch) result(n int) []int64 { return b.want[n*b.layout.Out:][:b.layout.Out] }
func (b *batch) sent() []int64        { return b.records[:b.ticks*b.layout.In] }
func (b *batch) due() []int64         { return b.want[:b.ticks*b.layout.Out] }
