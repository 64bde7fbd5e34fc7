package tone

import (
	"net"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSocket(t *testing.T) {
	for _, c := range []struct{ server, dir, network, path string }{
		{"", "/run/user/1", "unix", "/run/user/1/pulse/native"},
		{"unix:/tmp/s", "/run/user/1", "unix", "/tmp/s"},
		{"/tmp/s", "", "unix", "/tmp/s"},
		{"tcp:bench:4713", "", "tcp", "bench:4713"},
	} {
		t.Setenv("PULSE_SERVER", c.server)
		t.Setenv("XDG_RUNTIME_DIR", c.dir)
		network, path, err := socket()
		require.NoError(t, err)
		assert.Equal(t, []string{c.network, c.path}, []string{network, path})
	}
	t.Setenv("PULSE_SERVER", "")
	t.Setenv("XDG_RUNTIME_DIR", "")
	assert.ErrorContains(t, new(Speaker).Check(), "no sound server is running")
}

// TestCookie: the key of the file, where it is one.
func TestCookie(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cookie")
	t.Setenv("PULSE_COOKIE", path)
	none := make([]byte, cookieLen)
	assert.Equal(t, none, cookie(), "no file")
	require.NoError(t, os.WriteFile(path, []byte("short"), 0o600))
	assert.Equal(t, none, cookie())
	key := append([]byte{1, 2, 3}, none[3:]...)
	require.NoError(t, os.WriteFile(path, key, 0o600))
	assert.Equal(t, key, cookie())
}

// TestServersThatFail: none there, one that hangs up at once, and one that says
// nothing.
func TestServersThatFail(t *testing.T) {
	path := filepath.Join(t.TempDir(), "native")
	t.Setenv("PULSE_SERVER", "unix:"+path)
	assert.ErrorContains(t, check(), "no sound server answers at "+path)
	for name, serve := range map[string]func(net.Conn){
		"hangs up": func(c net.Conn) { c.Close() },
		"is mute":  func(net.Conn) {},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := net.Listen("unix", path)
			require.NoError(t, err)
			defer l.Close()
			go func() {
				if c, err := l.Accept(); err == nil {
					serve(c)
				}
			}()
			assert.ErrorContains(t, check(), "does not let us in")
		})
	}
}
