package assets_test

import (
	"bytes"
	"encoding/json"
	"image/png"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/assets"
)

func TestIcon(t *testing.T) {
	img, err := png.Decode(bytes.NewReader(assets.Icon()))
	require.NoError(t, err)
	assert.Equal(t, 256, img.Bounds().Dx())
	assert.Equal(t, 256, img.Bounds().Dy())
	_, _, _, a := img.At(0, 0).RGBA()
	assert.Zero(t, a, "the corners are transparent")
}

func TestTranslationsAreFlatText(t *testing.T) {
	names, err := fs.Glob(assets.Translations(), assets.TranslationsDir+"/*.json")
	require.NoError(t, err)
	require.Contains(t, names, "translations/en.json")
	for _, name := range names {
		data, err := fs.ReadFile(assets.Translations(), name)
		require.NoError(t, err)
		var texts map[string]string
		require.NoError(t, json.Unmarshal(data, &texts), name)
		for key, text := range texts {
			assert.NotEmpty(t, text, "%s: %q", name, key)
		}
	}
}

func TestDemos(t *testing.T) {
	for _, letter := range []string{"a", "b", "c"} {
		data, err := assets.Demo(letter)
		require.NoError(t, err, letter)
		assert.True(t, json.Valid(data), letter)
		assert.Contains(t, assets.DemoName(letter), ".pane")
	}
}

func TestNoSuchDemo(t *testing.T) {
	_, err := assets.Demo("z")
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.Empty(t, assets.DemoName("z"))
}
