package boardview

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

func TestPlaceThenTypeTheHeight(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceFace)
	move(v, at(v, 212, 313))
	assert.True(t, v.preview.Visible())
	assert.Equal(t, desktop.CrosshairCursor, v.Cursor())
	click(v, at(v, 212, 313))
	require.Equal(t, []string{"Place face point F1"}, d.edits)
	r := d.job().Readings[4]
	assert.Equal(t, board.Face, r.Kind)
	assert.Equal(t, []string{"212.5", "312.5", ""}, []string{r.X.Text, r.Y.Text, r.Z.Text})
	assert.Equal(t, 4, v.Selected())

	test.Type(v, "82x,6")
	tap(v, fyne.KeyBackspace)
	test.Type(v, "7")
	assert.Equal(t, "82,7", v.entry.text, "letters are not taken")
	tap(v, fyne.KeyReturn)
	assert.Equal(t, "82,7", d.job().Readings[4].Z.Text)
	assert.InDelta(t, 82.7, d.job().Readings[4].Z.MM, 1e-12)
	assert.Nil(t, v.entry)
	assert.Equal(t, "Height of face point F1", d.edits[1])
}

func TestPlaceStationsOneAfterTheOther(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceStation)
	v.SetSnap(0.5)
	click(v, at(v, 440, 210))
	test.Type(v, "12.3")
	click(v, at(v, 440, 310)) // commits the height and places the next
	tap(v, fyne.KeyEscape)    // no height
	click(v, at(v, 440, 410))
	tap(v, fyne.KeyEnter)
	all := d.job().Readings[4:]
	require.Len(t, all, 3)
	assert.Equal(t, []string{"5", "6", "7"}, []string{all[0].ID, all[1].ID, all[2].ID})
	assert.Equal(t, "450", all[0].X.Text)
	assert.Equal(t, "200", all[0].Y.Text)
	assert.Equal(t, "300", all[1].Y.Text)
	assert.Empty(t, all[1].Z.Text)
	assert.Empty(t, all[2].Z.Text)
}

func TestAHeightThatIsNotUnderstoodStays(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceStation)
	click(v, at(v, 450, 200))
	test.Type(v, "3//8")
	tap(v, fyne.KeyReturn)
	require.NotNil(t, v.entry)
	assert.NotEmpty(t, v.entry.fault)
	click(v, at(v, 450, 300))
	assert.Len(t, d.edits, 1, "nothing is placed until it is settled")
	assert.Equal(t, "3//8", v.entry.text)
	v.paint(800, 600)
	tap(v, fyne.KeyEscape)
	click(v, at(v, 450, 300))
	assert.Len(t, d.edits, 2)
}

func TestClickOnAReadingWhilePlacingTypesItsHeight(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceStation)
	click(v, at(v, 300, 100))
	assert.Empty(t, d.edits)
	test.Type(v, "44")
	v.FocusLost()
	assert.Equal(t, "44", d.job().Readings[1].Z.Text, "leaving commits")
}

func TestDragWhilePlacingMovesThePicture(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceFace)
	drag(v, at(v, 100, 300), at(v, 200, 350))
	assert.Empty(t, d.edits)
	drag(v, at(v, 0, 250), at(v, 50, 250))
	assert.Nil(t, d.job().Plane, "the centre line is not in the way")
}

func TestModesEndTheHeight(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceFace)
	click(v, at(v, 100, 300))
	test.Type(v, "5")
	v.SetMode(Select)
	assert.Equal(t, "5", d.job().Readings[4].Z.Text)
	assert.Equal(t, Select, v.Mode())
	test.Type(v, "7")
	assert.Len(t, d.edits, 2, "digits mean nothing without a point")
}

func TestUndoneReadingEndsItsHeight(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceFace)
	click(v, at(v, 100, 300))
	require.NotNil(t, v.entry)
	d.history.Undo()
	v.Display(d.State())
	assert.Nil(t, v.entry)
}

func TestFreePointsAreRoundedToTheRule(t *testing.T) {
	v, d := show(t, fourStations(board.MM), nil)
	v.SetMode(PlaceFace)
	v.SetSnap(0)
	click(v, at(v, 101.23456, 300))
	assert.Regexp(t, `^\d+(\.\d)?$`, d.job().Readings[4].X.Text)
}
