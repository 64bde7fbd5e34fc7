package tone

import (
	"encoding/binary"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

const (
	patience  = time.Second            // for each answer of the sound server
	longest   = 5 * time.Second        // for a whole tone
	delay     = 300 * time.Millisecond // at most, until a tone that is played is heard
	cookieLen = 256                    // of the key that the server may ask for
)

// socket is where the sound server of the desktop listens.
func socket() (network, path string, err error) {
	if s := os.Getenv("PULSE_SERVER"); s != "" {
		if tcp, ok := strings.CutPrefix(s, "tcp:"); ok {
			return "tcp", tcp, nil
		}
		return "unix", strings.TrimPrefix(s, "unix:"), nil
	}
	if dir := os.Getenv("XDG_RUNTIME_DIR"); dir != "" {
		return "unix", filepath.Join(dir, "pulse", "native"), nil
	}
	return "", "", errors.New("no sound server is running")
}

// cookie is the key to the sound server; a server without one takes any.
func cookie() []byte {
	path := os.Getenv("PULSE_COOKIE")
	if path == "" {
		if dir, err := os.UserConfigDir(); err == nil {
			path = filepath.Join(dir, "pulse", "cookie")
		}
	}
	if data, err := os.ReadFile(path); err == nil && len(data) == cookieLen {
		return data
	}
	return make([]byte, cookieLen)
}

// connect opens a line to the sound server. The caller closes the connection.
func connect() (*proto.Client, net.Conn, error) {
	network, path, err := socket()
	if err != nil {
		return nil, nil, err
	}
	conn, err := net.DialTimeout(network, path, patience)
	if err != nil {
		return nil, nil, fmt.Errorf("no sound server answers at %s: %w", path, errors.Unwrap(err))
	}
	// A connection that ends while it is read is told to Callback.
	c := &proto.Client{Callback: func(any) {}}
	c.SetTimeout(patience)
	err = conn.SetDeadline(time.Now().Add(longest))
	if err == nil {
		c.Open(conn)
		err = hello(c)
	}
	if err != nil {
		conn.Close()
		return nil, nil, fmt.Errorf("the sound server at %s does not let us in: %w", path, err)
	}
	return c, conn, nil
}

// hello agrees on a version with the server and names the program.
func hello(c *proto.Client) error {
	var auth proto.AuthReply
	if err := c.Request(&proto.Auth{Version: c.Version(), Cookie: cookie()}, &auth); err != nil {
		return err
	}
	c.SetVersion(auth.Version)
	name := proto.PropList{"application.name": proto.PropListString("panewright")}
	return c.Request(&proto.SetClientName{Props: name}, &proto.SetClientNameReply{})
}

func check() error {
	_, conn, err := connect()
	if err != nil {
		return fmt.Errorf("tone: %w", err)
	}
	return conn.Close()
}

// sound hands a tone to the server as a sample, has it played, and takes it away
// again once it has sounded.
func sound(k Kind) error {
	c, conn, err := connect()
	if err != nil {
		return fmt.Errorf("tone: %w", err)
	}
	defer conn.Close()
	samples := wave(k)
	name := fmt.Sprintf("panewright-%d-%d", os.Getpid(), k)
	if err := upload(c, name, samples); err != nil {
		return fmt.Errorf("tone: %w", err)
	}
	err = c.Request(&proto.PlaySample{SinkIndex: proto.Undefined, Volume: uint32(proto.VolumeNorm), Name: name}, nil)
	if err == nil {
		time.Sleep(time.Duration(len(samples))*time.Second/rate + delay)
	}
	if err := errors.Join(err, c.Request(&proto.RemoveSample{Name: name}, nil)); err != nil {
		return fmt.Errorf("tone: %w", err)
	}
	return nil
}

// upload leaves samples with the server under a name.
func upload(c *proto.Client, name string, samples []int16) error {
	data, err := binary.Append(nil, binary.LittleEndian, samples)
	if err != nil {
		return err
	}
	var stream proto.CreateUploadStreamReply
	if err := c.Request(&proto.CreateUploadStream{
		Name:       name,
		SampleSpec: proto.SampleSpec{Format: proto.FormatInt16LE, Channels: 1, Rate: rate},
		ChannelMap: proto.ChannelMap{proto.ChannelMono},
		Length:     uint32(len(data)),
		Properties: proto.PropList{"media.name": proto.PropListString(name), "media.role": proto.PropListString("event")},
	}, &stream); err != nil {
		return err
	}
	if err := c.Send(stream.StreamIndex, data); err != nil {
		return err
	}
	return c.Request(&proto.FinishUploadStream{StreamIndex: stream.StreamIndex}, nil)
}
