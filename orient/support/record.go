package support

import "gonum.org/v1/gonum/spatial/r3"

// Record is a plan as it is written to JSON. Places are in the print frame, green,
// mm; dimensions of a change are those of the design at finished size.
type Record struct {
	Regions          []RegionRecord `json:"regions"`
	SmallCount       int            `json:"small_count"`
	SmallAreaMM2     float64        `json:"small_area_mm2"`
	SmallVolumeMM3   float64        `json:"small_volume_mm3"`
	PrintedVolumeMM3 float64        `json:"printed_volume_mm3"`
	PrintedMassG     float64        `json:"printed_mass_g"`
	PrintedTimeS     float64        `json:"printed_time_s"`
	OutOfReachMM3    float64        `json:"out_of_reach_mm3"`
	CutterMM         float64        `json:"cutter_mm"`
	CutterLengthMM   float64        `json:"cutter_length_mm"`
	HolderMM         float64        `json:"holder_mm"`
	PixelMM          float64        `json:"reach_pixel_mm"`
	VoxelMM          float64        `json:"reach_voxel_mm"`
	ReachDoubt       string         `json:"reach_doubt,omitempty"`
}

// RegionRecord is one region of a Record.
type RegionRecord struct {
	Form          string       `json:"form"`
	Advice        string       `json:"advice"`
	Reason        string       `json:"reason"`
	Prints        bool         `json:"prints_support"`
	Change        *Alter       `json:"change,omitempty"`
	Others        []OtherThing `json:"others,omitempty"`
	Together      int          `json:"regions_together,omitempty"`
	Facets        int          `json:"facets"`
	AreaMM2       float64      `json:"area_mm2"`
	ProjectedMM2  float64      `json:"projected_area_mm2"`
	SlopeDeg      float64      `json:"slope_deg"`
	CentroidMM    [3]float64   `json:"centroid_mm"`
	LowMM         float64      `json:"low_mm"`
	HighMM        float64      `json:"high_mm"`
	GapLowMM      float64      `json:"gap_low_mm"`
	GapMeanMM     float64      `json:"gap_mean_mm"`
	GapHighMM     float64      `json:"gap_high_mm"`
	PlateShare    float64      `json:"plate_share"`
	VolumeMM3     float64      `json:"support_volume_mm3"`
	OnPartMM3     float64      `json:"support_on_part_mm3"`
	ContactMM2    float64      `json:"contact_mm2"`
	ScarBelowMM2  float64      `json:"scar_below_mm2"`
	LedgeMM       float64      `json:"ledge_mm"`
	HeldMM        float64      `json:"held_edge_mm"`
	FreeMM        float64      `json:"free_edge_mm"`
	Bridged       bool         `json:"held_at_both_ends"`
	SpanMM        float64      `json:"span_mm"`
	SpanDirection [2]float64   `json:"span_direction"`
	MassG         float64      `json:"support_mass_g"`
	TimeS         float64      `json:"support_time_s"`
	// SagMM is left out where it collapses.
	SagMM         *float64    `json:"sag_mm,omitempty"`
	SagCollapses  bool        `json:"sag_collapses,omitempty"`
	ReachShare    float64     `json:"reach_share"`
	OutOfReachMM3 float64     `json:"out_of_reach_mm3"`
	OutOfReachAt  *[3]float64 `json:"out_of_reach_at_mm,omitempty"`
	Access        string      `json:"access"`
	CutFrom       [3]float64  `json:"cut_from"`
	CutFromShare  float64     `json:"cut_from_share"`
	WayInMM       float64     `json:"way_in_mm,omitempty"`
	NeedMM        float64     `json:"cutter_length_needed_mm,omitempty"`
}

// Alter is a Change as it is written to JSON.
type Alter struct {
	Kind       string  `json:"kind"`
	Words      string  `json:"words"`
	RunMM      float64 `json:"run_mm,omitempty"`
	HeightMM   float64 `json:"height_mm,omitempty"`
	BridgeMM   float64 `json:"bridge_mm,omitempty"`
	FromDeg    float64 `json:"from_deg,omitempty"`
	ToDeg      float64 `json:"to_deg,omitempty"`
	DiameterMM float64 `json:"diameter_mm,omitempty"`
	PointMM    float64 `json:"point_mm,omitempty"`
	ZMM        float64 `json:"z_mm,omitempty"`
}

// OtherThing is an Option as it is written to JSON.
type OtherThing struct {
	Advice string `json:"advice"`
	Words  string `json:"words"`
	Change *Alter `json:"change,omitempty"`
}

// Record gives the plan as it is written to JSON.
func (p *Plan) Record() Record {
	c := p.Limits.Cutter
	out := Record{
		Regions: make([]RegionRecord, len(p.Items)), SmallCount: p.Small.Count,
		SmallAreaMM2: p.Small.AreaMM2, SmallVolumeMM3: p.Small.VolumeMM3,
		PrintedVolumeMM3: p.PrintMM3, PrintedMassG: p.MassG, PrintedTimeS: p.TimeS,
		OutOfReachMM3: p.OutOfReachMM3, CutterMM: c.DiameterMM, CutterLengthMM: c.LengthMM, HolderMM: c.HolderMM,
		PixelMM: p.Reach.PixelMM, VoxelMM: p.Reach.VoxelMM, ReachDoubt: p.Reach.Doubt,
	}
	for i := range p.Items {
		out.Regions[i] = p.Items[i].record()
	}
	return out
}

func (t *Item) record() RegionRecord {
	r, a := &t.Region, &t.Reach
	out := RegionRecord{
		Form: r.Form.String(), Advice: t.Advice.Key(), Reason: t.Reason, Prints: t.Prints, Change: t.Change.alter(),
		Together: r.Together, Facets: len(r.Facets), AreaMM2: r.AreaMM2, ProjectedMM2: r.ProjectedMM2, SlopeDeg: r.SlopeDeg,
		CentroidMM: triple(r.Centroid), LowMM: r.LowMM, HighMM: r.HighMM,
		GapLowMM: r.GapLowMM, GapMeanMM: r.GapMeanMM, GapHighMM: r.GapHighMM, PlateShare: r.PlateShare,
		VolumeMM3: r.VolumeMM3, OnPartMM3: r.OnPartMM3, ContactMM2: r.ContactMM2(), ScarBelowMM2: r.ScarBelowMM2,
		LedgeMM: r.LedgeMM, HeldMM: r.HeldMM, FreeMM: r.FreeMM,
		Bridged: r.Bridge.Holds, SpanMM: r.Bridge.SpanMM, SpanDirection: [2]float64{r.Bridge.Direction.X, r.Bridge.Direction.Y},
		MassG: t.MassG, TimeS: t.TimeS, ReachShare: a.Share, CutFromShare: a.FromShare, OutOfReachMM3: a.OutOfReachMM3,
		Access: a.Worst.Key(), CutFrom: triple(a.From), WayInMM: a.WayInMM, NeedMM: a.NeedMM,
	}
	out.SagCollapses = t.Collapses
	if t.SagKnown && !t.Collapses {
		out.SagMM = &t.SagMM
	}
	if a.OutOfReachMM3 > 0 {
		at := triple(a.At)
		out.OutOfReachAt = &at
	}
	for _, o := range t.Others {
		out.Others = append(out.Others, OtherThing{Advice: o.Advice.Key(), Words: o.Words, Change: o.Change.alter()})
	}
	return out
}

// alter gives nil for no change.
func (c *Change) alter() *Alter {
	if c.Kind == NoChange {
		return nil
	}
	return &Alter{
		Kind: c.Kind.Key(), Words: c.Words, RunMM: c.RunMM, HeightMM: c.HeightMM, BridgeMM: c.BridgeMM, FromDeg: c.FromDeg, ToDeg: c.ToDeg,
		DiameterMM: c.DiameterMM, PointMM: c.PointMM, ZMM: c.ZMM,
	}
}

func triple(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
