package board

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// PackSettings say what the hand-over pack holds beside the usual files, and how
// it is printed. The zero value asks for nothing further.
type PackSettings struct {
	Body  BodyFiles
	Paper Paper
	Shop  ShopOrigin
}

// BodyFiles says which further files and shapes the body designer wants. Lengths
// are mm; nought leaves the shape out.
type BodyFiles struct {
	// Shapes in faces.step.
	Glue     float64 // a face at the glue line: so far from the inner face, away from the glass
	Extend   float64 // the outer face continued so far past its edge, seen from above
	Flange   float64 // a strip of the face at the glue line (without one, of the inner face), so wide from its edge inward
	PanelGap float64 // the aperture line of the body: so far from the edge of the glass, in the line of its outer face
	Sections float64 // both faces cut across and down, so far apart

	// Twins of the model's files.
	Inch          bool // in inches
	Scale         int  // a model to 1:Scale; 0 and 1: none
	TrueThickness bool // the model keeps the thickness of the glass, and its outer face
	OnBoard       bool // in the board frame
	Car           Car  // in the car frame
}

// Paper says on which sheets templates are printed and what the printer makes of
// them.
type Paper struct {
	// Sheet is A4, A3, Letter or Tabloid, in capitals or not; empty: A4 for a job
	// in millimetres and Letter for one in inches. Forms and the report come on
	// A4 for A4 and A3, on Letter for the others.
	Sheet string
	// Across and Up are what a bar of a print made without correction measured by
	// what stands beside it, as a fraction, across the sheet and up it: 149.5 mm
	// on a bar of 150 mm is 149.5/150. The templates are drawn so much larger or
	// smaller that they come out true. 0: the printer prints true.
	Across, Up float64
}

// SheetNames are the sheets that templates are printed on.
var SheetNames = []string{"A4", "A3", "Letter", "Tabloid"}

// ShopOrigin says whether the pack holds its tiles, and the whole pocket, in the
// frame of the machine too, and where that frame begins: at the lower left corner
// of the stock, on its top or on its bottom.
type ShopOrigin int

// The origins.
const (
	NoShop ShopOrigin = iota
	ShopTop
	ShopBottom
)

var shopNames = []string{"none", "top", "bottom"}

// String is the word of the files and flags.
func (o ShopOrigin) String() string {
	if o < 0 || int(o) >= len(shopNames) {
		return fmt.Sprintf("ShopOrigin(%d)", int(o))
	}
	return shopNames[o]
}

// ParseShopOrigin reads none, top or bottom.
func ParseShopOrigin(s string) (ShopOrigin, bool) {
	o := slices.Index(shopNames, s)
	return ShopOrigin(o), o >= 0
}

// Limits of what is taken for a wish and not for a slip, in mm.
const (
	mostGlue      = 50
	mostExtend    = 50
	mostFlange    = 100
	mostPanelGap  = 50
	leastSections = 5
	mostSections  = 1e4
	mostScale     = 100
)

// mostStretch is how far a printer may print from true size before that is
// taken for a page that was fitted to the sheet, or for a slip.
const mostStretch = 0.1

// Check refuses what nobody can mean.
func (p *PackSettings) Check() error { return firstError(p.Body.Check(), p.Paper.Check()) }

// Check refuses what nobody can mean.
func (b *BodyFiles) Check() error {
	for _, f := range []struct {
		name        string
		value, most float64
	}{
		{"glue line", b.Glue, mostGlue}, {"extended face", b.Extend, mostExtend},
		{"flange", b.Flange, mostFlange}, {"panel gap", b.PanelGap, mostPanelGap},
	} {
		if !between(f.value, 0, f.most) {
			return fmt.Errorf("board: a %s of %g mm, want 0 to %g mm", f.name, f.value, f.most)
		}
	}
	if b.Sections != 0 && !between(b.Sections, leastSections, mostSections) {
		return fmt.Errorf("board: sections every %g mm, want %d mm or more", b.Sections, leastSections)
	}
	if b.Scale < 0 || b.Scale > mostScale {
		return fmt.Errorf("board: a model to 1:%d, want 1:2 to 1:%d", b.Scale, mostScale)
	}
	return b.Car.check()
}

// Check refuses a sheet that is not known and bars that no printer prints.
func (q *Paper) Check() error {
	if q.Sheet != "" && !slices.ContainsFunc(SheetNames, func(n string) bool { return strings.EqualFold(n, q.Sheet) }) {
		return fmt.Errorf("board: there is no sheet %q: A4, A3, Letter or Tabloid", q.Sheet)
	}
	for _, s := range []float64{q.Across, q.Up} {
		if s != 0 && !between(s, 1-mostStretch, 1+mostStretch) {
			return fmt.Errorf("board: a bar printed at %.4g of its length is no printer's fault: print at 100 %%, not fitted to the sheet", s)
		}
	}
	return nil
}

// validate refuses what a file cannot hold.
func (p *PackSettings) validate() error {
	b := &p.Body
	for _, v := range []float64{b.Glue, b.Extend, b.Flange, b.PanelGap, b.Sections, p.Paper.Across, p.Paper.Up} {
		if !between(v, -longest, longest) {
			return fmt.Errorf("board: %g is no setting of the hand-over pack", v)
		}
	}
	if p.Shop < NoShop || p.Shop > ShopBottom {
		return fmt.Errorf("board: unknown origin of the machine's frame %d", p.Shop)
	}
	return firstError(checkText("paper", p.Paper.Sheet, maxCell), b.Car.validate())
}

// Facing is the side of the car that a pane faces.
type Facing int

// The sides.
const (
	Front Facing = iota // windscreen
	Rear                // rear screen
	Left                // the driver's left, who looks ahead
	Right
)

var facingNames = []string{"front", "rear", "left", "right"}

// ParseFacing reads front, rear, left or right.
func ParseFacing(s string) (Facing, bool) {
	f := slices.Index(facingNames, s)
	return Facing(f), f >= 0
}

// CarBy says how the place of a pane in the car is told.
type CarBy int

// The ways.
const (
	NoCar    CarBy = iota // it is not
	ByRake                // by an angle and a place
	ByPoints              // by three points
)

// carWords are the words of the file, in the order of the ways.
var carWords = []string{"none", "rake", "points"}

// Car says where the pane stands in the car: X to the rear, Y to the driver's
// right, Z up, in mm, from wherever the car's origin is.
type Car struct {
	By CarBy

	Facing Facing
	Rake   float64 // degrees by which the pane's Y leans from upright, away from the side that it faces
	At     r3.Vec  // where the origin of the glass frame is in the car

	Points [3]CarPoint // stations or marks
}

// CarPoint is a station or mark and where it is in the car, mm.
type CarPoint struct {
	ID string
	At r3.Vec
}

const carReach = 1e5 // mm, that a car is believed to reach from its origin

// check refuses what no car is.
func (c *Car) check() error {
	near := func(p r3.Vec) bool {
		return between(p.X, -carReach, carReach) && between(p.Y, -carReach, carReach) && between(p.Z, -carReach, carReach)
	}
	switch c.By {
	case ByPoints:
		for i, p := range c.Points {
			if p.ID == "" {
				return fmt.Errorf("board: the car frame is told by three points, and point %d has no station or mark", i+1)
			}
			if !near(p.At) {
				return fmt.Errorf("board: the place of %s in the car is out of range", p.ID)
			}
		}
	case ByRake:
		if !(math.Abs(c.Rake) <= 90) || !near(c.At) {
			return errors.New("board: the place in the car is out of range: a rake of at most 90 degrees, and mm")
		}
	}
	return nil
}

// validate refuses what a file cannot hold.
func (c *Car) validate() error {
	if c.By < NoCar || c.By > ByPoints || c.Facing < Front || c.Facing > Right {
		return errors.New("board: unknown place in the car")
	}
	numbers := []float64{c.Rake, c.At.X, c.At.Y, c.At.Z}
	for _, p := range c.Points {
		if err := checkText("car point", p.ID, maxCell); err != nil {
			return err
		}
		numbers = append(numbers, p.At.X, p.At.Y, p.At.Z)
	}
	for _, v := range numbers {
		if !between(v, -longest, longest) {
			return fmt.Errorf("board: %g mm is no place in a car", v)
		}
	}
	return nil
}

// otherSide is the place in the car of the other-hand pane.
func (c Car) otherSide() Car {
	switch c.Facing {
	case Left:
		c.Facing = Right
	case Right:
		c.Facing = Left
	}
	c.At.Y = opposite(c.At.Y)
	for i := range c.Points {
		c.Points[i].At.Y = opposite(c.Points[i].At.Y)
	}
	return c
}

// opposite is -v, without a minus on nought.
func opposite(v float64) float64 { return 0 - v }
