package loop

import "math"

// off is how far the share that an actuator gives in one loop may be off the straight line, less that in the other loop, in the unit of the
// output that it takes: its steps, and around 0 the least effort with the dead band that it is to overcome.
func (s *System) off(c *controller, actuator int) float64 {
	a := s.Plant.Actuators[actuator]
	o := s.Spec.Outputs[a.Output]
	perUnit, _ := o.CountsPerUnit.Float64()
	count := 1 / math.Abs(perUnit)
	least := 0.0
	if o.LeastEffort != nil {
		least, _ = o.LeastEffort.Float64()
	}
	off := 0.0
	if least > 0 || a.DeadBand > 0 {
		zone := c.slope(o.Name) * count / 2 // an effort of less than half a count does not drive
		if least < a.DeadBand {
			zone = count / 2 // and one that rounding has made smaller may not overcome the dead band
		}
		off = 2 * math.Max(zone, math.Abs(least-a.DeadBand))
	}
	if r := a.Resolution; r > 0 {
		off += r / 2 // of the reference
		if n := count / r; math.Abs(n-math.Round(n)) > 1e-9 || n < 0.5 {
			off += r / 2 // and of the integer loop, unless each of its counts is a whole number of steps
		}
	}
	return off
}
