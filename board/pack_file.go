package board

// filePack is PackSettings in the file. Lengths are mm.
type filePack struct {
	Glue          float64  `json:"glue_mm,omitempty"`
	Extend        float64  `json:"extend_mm,omitempty"`
	Flange        float64  `json:"flange_mm,omitempty"`
	PanelGap      float64  `json:"panel_gap_mm,omitempty"`
	Sections      float64  `json:"sections_mm,omitempty"`
	Inch          bool     `json:"inch,omitempty"`
	Scale         int      `json:"scale,omitempty"`
	TrueThickness bool     `json:"true_thickness,omitempty"`
	OnBoard       bool     `json:"board_frame,omitempty"`
	Car           *fileCar `json:"car,omitempty"`
	Sheet         string   `json:"paper,omitempty"`
	Across        float64  `json:"printed_across,omitempty"`
	Up            float64  `json:"printed_up,omitempty"`
	Shop          fileShop `json:"shop,omitempty"`
}

// fileCar is Car in the file. Points without a station may be left out.
type fileCar struct {
	By     fileCarBy      `json:"by"`
	Facing fileFacing     `json:"facing"`
	Rake   float64        `json:"rake_deg"`
	At     [3]float64     `json:"at"`
	Points []fileCarPoint `json:"points,omitempty"`
}

type fileCarPoint struct {
	ID string     `json:"id"`
	At [3]float64 `json:"at"`
}

type (
	fileShop   ShopOrigin
	fileFacing Facing
	fileCarBy  CarBy
)

func (o fileShop) MarshalText() ([]byte, error)    { return word(shopNames, int(o)) }
func (o *fileShop) UnmarshalText(b []byte) error   { return setWord(o, shopNames, "shop", b) }
func (f fileFacing) MarshalText() ([]byte, error)  { return word(facingNames, int(f)) }
func (f *fileFacing) UnmarshalText(b []byte) error { return setWord(f, facingNames, "facing", b) }
func (b fileCarBy) MarshalText() ([]byte, error)   { return word(carWords, int(b)) }
func (b *fileCarBy) UnmarshalText(t []byte) error  { return setWord(b, carWords, "by", t) }

func packToFile(p *PackSettings) *filePack {
	if *p == (PackSettings{}) {
		return nil
	}
	b := &p.Body
	return &filePack{Glue: b.Glue, Extend: b.Extend, Flange: b.Flange, PanelGap: b.PanelGap, Sections: b.Sections,
		Inch: b.Inch, Scale: b.Scale, TrueThickness: b.TrueThickness, OnBoard: b.OnBoard, Car: carToFile(&b.Car),
		Sheet: p.Paper.Sheet, Across: p.Paper.Across, Up: p.Paper.Up, Shop: fileShop(p.Shop)}
}

func (f *filePack) pack() (p PackSettings) {
	if f == nil {
		return p
	}
	return PackSettings{
		Body: BodyFiles{Glue: f.Glue, Extend: f.Extend, Flange: f.Flange, PanelGap: f.PanelGap, Sections: f.Sections,
			Inch: f.Inch, Scale: f.Scale, TrueThickness: f.TrueThickness, OnBoard: f.OnBoard, Car: f.Car.car()},
		Paper: Paper{Sheet: f.Sheet, Across: f.Across, Up: f.Up}, Shop: ShopOrigin(f.Shop),
	}
}

func carToFile(c *Car) *fileCar {
	if *c == (Car{}) {
		return nil
	}
	f := &fileCar{By: fileCarBy(c.By), Facing: fileFacing(c.Facing), Rake: c.Rake, At: xyz(c.At)}
	if c.Points != [3]CarPoint{} {
		for _, p := range c.Points {
			f.Points = append(f.Points, fileCarPoint{p.ID, xyz(p.At)})
		}
	}
	return f
}

func (f *fileCar) car() (c Car) {
	if f == nil {
		return c
	}
	c = Car{By: CarBy(f.By), Facing: Facing(f.Facing), Rake: f.Rake, At: fromXYZ(f.At)}
	for i, p := range f.Points[:min(len(f.Points), len(c.Points))] {
		c.Points[i] = CarPoint{p.ID, fromXYZ(p.At)}
	}
	return c
}
