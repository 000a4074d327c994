package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A file is read up to a size and no further, and one of just that size is read whole.
func TestReadAtMost(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	if err := os.WriteFile(path, []byte("0123456789"), 0o600); err != nil {
		t.Fatal(err)
	}
	read := func(path string, most int64) ([]byte, error) {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		return readAtMost(f, most)
	}
	for most, want := range map[int64]error{9: errTooLarge, 10: nil, 11: nil, 0: errTooLarge} {
		data, err := read(path, most)
		if !errors.Is(err, want) || err == nil && string(data) != "0123456789" {
			t.Errorf("at most %d: %q, %v", most, data, err)
		}
	}
	// A device says that it is empty, and has no end.
	if _, err := os.Stat("/dev/zero"); err == nil {
		if _, err := read("/dev/zero", 1<<20); !errors.Is(err, errTooLarge) {
			t.Errorf("a file without end: %v", err)
		}
	}
}
