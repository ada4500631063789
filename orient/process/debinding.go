package process

// DebindingHours gives the shortest and the longest time the binder front needs
// to meet in the middle of the thickest green wall, in hours: half the wall over
// the front speed. It is an estimate without margin; a wall of 10 mm at 1 to
// 2 mm/h takes 2.5 to 5 h.
func (m Material) DebindingHours(wallMM float64) (low, high float64) {
	half := wallMM / 2
	return half / m.Debinding.FrontSpeedHighMMH, half / m.Debinding.FrontSpeedLowMMH
}
