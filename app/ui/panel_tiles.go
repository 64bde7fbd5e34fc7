package ui

import (
	"context"
	"errors"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
)

// tilesBox is how a large pocket is cut into tiles: what is asked for, and what
// comes of it, worked out in the background.
type tilesBox struct {
	w      *Window
	main   *form
	more   *form
	rest   *fyne.Container // all that is of no use in one piece
	say    *widget.Label
	notes  *notes
	facts  *figures
	stop   *button // gives up, or begins again
	box    *fyne.Container
	making errand
	tiling tiling
}

// tiling is what became of a pocket's tiles.
type tiling struct {
	of    *fixture.Pocket
	spec  board.TileSettings
	tiles *fixture.Tiling
	list  *fixture.CutList
	err   error // why there are no tiles
	sheet error // why they cannot be cut of the sheets
	given bool  // up by the person
}

func newTilesBox(w *Window) *tilesBox {
	b := &tilesBox{w: w, main: newForm(w), more: newForm(w), say: wrapped(""), notes: newNotes(widget.WarningImportance), making: errand{w: w}}
	edit := lang.L("Change the tiles")
	bed := func(t *board.TileSettings) *fixture.Bed { return &t.Bed }
	sheet := func(t *board.TileSettings) *fixture.Bed { return &t.Sheet }
	b.pair(b.main, lang.L("Bed of the machine"), edit, [2]float64{}, bed)
	b.size(b.main, lang.L("Boards glued up from"), edit, lang.L("solid stock"), func(t *board.TileSettings) *float64 { return &t.Board })
	b.pair(b.main, lang.L("Sheets of board"), edit, [2]float64{2440, 1220}, sheet)
	b.main.choice(lang.L("Cut"), edit, []string{lang.L("all tiles"), lang.L("a trial: the made half")},
		func(j *board.Job) int { return oneIf(j.Tiles.Trial) },
		func(j *board.Job, i int) { j.Tiles.Trial = i == 1 })
	b.length(b.more, lang.L("Stock left round a tile"), edit, 0, func(t *board.TileSettings) *float64 { return &t.Margin })
	b.length(b.more, lang.L("Pin diameter"), edit, fixture.DefaultTileSpec().Pin, func(t *board.TileSettings) *float64 { return &t.Pin })
	b.length(b.more, lang.L("Saw cut"), edit, 4, func(t *board.TileSettings) *float64 { return &t.Kerf })
	b.facts = newFigures(lang.L("Tiles"), lang.L("Largest tile"), lang.L("Packers"), lang.L("Sheets"))
	b.stop = newButton("", b.turn)
	b.stop.onKey = w.key
	b.rest = container.NewVBox(fold(lang.L("More about the tiles"), b.more.box).box, b.say, b.notes.box, b.facts.box, b.stop)
	b.box = container.NewVBox(title(lang.L("Tiles")),
		dim(lang.L("Type the bed of the machine where the pocket is larger: it is then cut into tiles that are pinned together.")), b.main.box, b.rest)
	return b
}

// size adds a length of the tiles that may be left empty.
func (b *tilesBox) size(f *form, name, edit, empty string, of func(*board.TileSettings) *float64) {
	e := b.cell(f, edit, of)
	e.SetPlaceHolder(empty)
	f.row(name, container.NewVBox(e, e.fault))
}

// length adds a length of the tiles with its usual value, which an empty field
// stands for.
func (b *tilesBox) length(f *form, name, edit string, usual float64, of func(*board.TileSettings) *float64) {
	e := b.cell(f, edit, of)
	f.show = append(f.show, func(j *board.Job) { setHint(e, tileText(j, usual)) })
	f.row(name, container.NewVBox(e, e.fault))
}

// pair adds a width and a height.
func (b *tilesBox) pair(f *form, name, edit string, usual [2]float64, of func(*board.TileSettings) *fixture.Bed) {
	grid := container.NewGridWithColumns(2)
	box := container.NewVBox(grid)
	for i, part := range []func(*board.TileSettings) *float64{
		func(t *board.TileSettings) *float64 { return &of(t).W },
		func(t *board.TileSettings) *float64 { return &of(t).H },
	} {
		e := b.cell(f, edit, part)
		word := []string{lang.L("wide"), lang.L("deep")}[i]
		f.show = append(f.show, func(j *board.Job) {
			if usual[i] != 0 {
				word = tileText(j, usual[i])
			}
			setHint(e, word)
		})
		grid.Add(e)
		box.Add(e.fault)
	}
	f.row(name, box)
}

// cell is a field over a length of the tiles; 0 is shown empty.
func (b *tilesBox) cell(f *form, edit string, of func(*board.TileSettings) *float64) *field {
	e := newField(true, func(s string) error {
		return b.w.Edit(edit, func(j *board.Job) error {
			v := of(&j.Tiles)
			if *v = 0; strings.TrimSpace(s) == "" {
				return nil
			}
			mm, _, err := board.Parse(s, board.AxisLength, j.Unit, j.Comma, j.Grid)
			*v = mm
			return err
		})
	}, b.w.key)
	e.echo = func(s string) { b.w.say(echo(b.w.state.Job, s, board.AxisLength)) }
	f.show = append(f.show, func(j *board.Job) {
		text := ""
		if v := *of(&j.Tiles); v != 0 {
			text = tileText(j, v)
		}
		e.show(text, "")
	})
	return e
}

// tileText is a length of the tiles as it would be typed, short enough for two
// side by side.
func tileText(j *board.Job, mm float64) string {
	text := sizeText(j, mm)
	if j.Unit == board.Inch && strings.Contains(text, ".") {
		return typedNumber(j, mm/25.4, 3)
	}
	return text
}

// setHint changes what an empty field shows only where it differs.
func setHint(e *field, text string) {
	if e.PlaceHolder != text {
		e.SetPlaceHolder(text)
	}
}

// show brings the box up to a state; pocket is nil while none is made.
func (b *tilesBox) show(s desk.State, pocket *fixture.Pocket) {
	b.main.update(s.Job)
	b.more.update(s.Job)
	wanted := s.Job.Tiles.Bed != fixture.Bed{}
	setVisible(b.rest, wanted)
	if !wanted || pocket == nil {
		b.making.stop()
		b.tiling = tiling{}
	} else if b.tiling.of != pocket || b.tiling.spec != s.Job.Tiles {
		b.make(pocket, s.Job.Tiles)
	}
	b.tell(s)
}

// make begins the tiles of a pocket.
func (b *tilesBox) make(pocket *fixture.Pocket, spec board.TileSettings) {
	b.tiling = tiling{of: pocket, spec: spec}
	b.making.begin(func(ctx context.Context) func() {
		t := tiling{of: pocket, spec: spec}
		if t.tiles, t.err = pocket.Tiles(ctx, spec.Bed, spec.Spec()); t.err == nil {
			sheet, kerf := spec.CutFrom()
			t.list, t.sheet = t.tiles.CutList(sheet, kerf)
		}
		return func() {
			b.tiling = t
			b.w.refresh()
		}
	})
}

// turn gives the tiles up that are being made, or makes them after all.
func (b *tilesBox) turn() {
	if b.making.running() {
		b.making.stop()
		b.tiling.given = true
	} else if b.tiling.of != nil {
		b.make(b.tiling.of, b.tiling.spec)
	}
	b.tell(b.w.state)
}

// tell says what became of the tiles.
func (b *tilesBox) tell(s desk.State) {
	t := &b.tiling
	say, weight := "", widget.MediumImportance
	var notes []string
	b.facts.show("", "", "", "")
	switch {
	case b.making.running():
		say = lang.L("Cutting the pocket into tiles…")
	case t.given:
		say = lang.L("Given up: the tiles are not made.")
	case t.err != nil && !errors.Is(t.err, context.Canceled):
		say, weight = inUnit(s.Job, refusal(t.err)), widget.DangerImportance
	case t.tiles != nil:
		for _, w := range t.tiles.Warnings {
			notes = append(notes, capital(inUnit(s.Job, w.Text)))
		}
		if t.sheet != nil {
			notes = append(notes, inUnit(s.Job, refusal(t.sheet)))
		}
		b.facts.show(tileFacts(s.Job, t.tiles, t.list)...)
		if s.Job.Tiles.Trial {
			say = lang.L("For the trial only the tiles that test the half that was made are written.")
		}
	}
	setLabel(b.say, say, weight)
	setVisible(b.say, say != "")
	b.notes.show(notes)
	setVisible(b.facts.box, t.tiles != nil)
	setVisible(b.stop, b.making.running() || t.given)
	word := lang.L("Give up")
	if t.given {
		word = lang.L("Make the tiles")
	}
	setWord(b.stop, word)
}

// tileFacts are the number of tiles, the largest of them, how many stand on
// packers, and the sheets that they are cut from.
func tileFacts(j *board.Job, t *fixture.Tiling, list *fixture.CutList) []string {
	var large fixture.Tile
	packed, most := 0, 0.0
	for _, tile := range t.Tiles {
		if tile.Size.X*tile.Size.Y > large.Size.X*large.Size.Y {
			large = tile
		}
		packed += oneIf(tile.Packer > 0)
		most = max(most, tile.Packer)
	}
	size := length(j, large.Size.X) + " × " + length(j, large.Size.Y)
	packers := lang.L("none")
	if packed > 0 {
		packers = lang.L("under {{.N}}, up to {{.P}}", map[string]any{"N": packed, "P": length(j, most)})
	}
	sheets := ""
	if list != nil {
		sheets = lang.L("{{.N}}, {{.B}} boards", map[string]any{"N": list.Count, "B": len(list.Boards)})
	}
	return []string{number(j, float64(len(t.Tiles)), 0), size, packers, sheets}
}
