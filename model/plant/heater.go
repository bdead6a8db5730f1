package plant

var heaterKind = &Kind{
	Name:   "heater",
	Doc:    "A heated box: heat capacity, loss to the room, and the dead time until the heat is felt.",
	Source: "lumped heat balance, Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5",
	Params: []Param{
		{Key: "heat_capacity", Unit: "J/K", Sample: "2.5 kJ/K", Doc: "of box, air and contents", Low: 1e-6, High: 1e12},
		{Key: "heat_loss", Unit: "W/K", Sample: "1.2 W/K", Doc: "to the room, per degree of difference", Low: tiny, High: 1e9},
		{Key: "ambient", Unit: "degC", Sample: "15 degC", Doc: "temperature of the room", Low: -273.15, High: 1e4},
		{Key: "dead_time", Unit: "s", Doc: "from a change of the heat until it is felt", Low: 0, High: 1e6, Default: constant(0)},
	},
	Build: func(v Values, _ any) Model {
		h := &heater{capacity: v["heat_capacity"], loss: v["heat_loss"], ambient: v["ambient"]}
		h.inputs = []Port{
			{Name: "heat", Unit: "W", Doc: "given to the box"},
			{Name: "ambient", Unit: "degC", Load: true, Rest: v["ambient"], Doc: "temperature of the room"},
			{Name: "loss_factor", Load: true, Rest: 1, Doc: "by what the heat loss is multiplied: 1 with the door shut"},
			{Name: "extra_heat", Unit: "W", Load: true, Doc: "from elsewhere, without dead time; negative for something cold put in"},
		}
		return h
	},
}

// heater has one state: the temperature in degC.
type heater struct {
	capacity, loss, ambient float64
	inputs                  []Port
}

func (h *heater) Inputs() []Port { return h.inputs }
func (h *heater) Quantities() []Port {
	return []Port{{Name: "temperature", Unit: "degC", Doc: "inside"}}
}
func (h *heater) Settable() []string { return []string{"temperature"} }

func (h *heater) Start(of map[string]float64) []float64 {
	if t, given := of["temperature"]; given {
		return []float64{t}
	}
	return []float64{h.ambient}
}

func (h *heater) Flow(dx, x, u []float64) {
	dx[0] = (u[0] + u[3] - h.loss*u[2]*(x[0]-u[1])) / h.capacity
}

func (h *heater) Observe(q, x, _, _ []float64) { q[0] = x[0] }
