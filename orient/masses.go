package orient

// Masses are those of the part without supports on its way, g, with the loss
// against the green mass: estimates from the densities of the record.
type Masses struct {
	GreenG float64 `json:"green_g"`
	// DeboundLowG to DeboundHighG is what is left after debinding: part of the binder
	// stays as backbone. What the material's data sheet gives comes first.
	DeboundLowG              float64 `json:"debound_low_g"`
	DeboundHighG             float64 `json:"debound_high_g"`
	DebindingLossLowPercent  float64 `json:"debinding_loss_low_percent"`
	DebindingLossHighPercent float64 `json:"debinding_loss_high_percent"`
	SinteredG                float64 `json:"sintered_g"`
	LossPercent              float64 `json:"loss_percent"`
}

// The share of the binder that leaves the part in debinding, the rest being backbone
// that burns out in the furnace (judgement; the pass value of the material's data
// sheet decides).
const debindingShareLow, debindingShareHigh = 0.85, 0.95

// Masses gives the target masses of the part.
func (a *Advice) Masses() Masses {
	if a.study == nil { // an advice that was only read
		return Masses{}
	}
	m, o := &a.Brief.Material, a.Brief.oversizeOf()
	volume := a.study.full.solid.Volume * o.X * o.Y * o.Z
	if volume < 0 {
		volume = -volume
	}
	green, metal := m.GreenMassG(volume), m.SinteredMassG(volume)
	out := Masses{GreenG: green, SinteredG: metal}
	if green <= 0 {
		return out
	}
	binder := green - metal
	out.DeboundLowG, out.DeboundHighG = green-debindingShareHigh*binder, green-debindingShareLow*binder
	out.DebindingLossLowPercent, out.DebindingLossHighPercent = 100*debindingShareLow*binder/green, 100*debindingShareHigh*binder/green
	out.LossPercent = 100 * binder / green
	return out
}
