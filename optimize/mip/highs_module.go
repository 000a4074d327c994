package mip

import (
	"context"
	"crypto/sha256"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/experimental"
)

// highsFiles holds highs/highs.wasm when it was there at build time.
//
//go:embed highs
var highsFiles embed.FS

const highsFile = "highs/highs.wasm"

// Names by which highs.wasm exports what is used here. They are shortened at its build, so they belong to the one file that has the
// checksum in highs/highs.wasm.sha256. Its script highs.js has both names of each.
const (
	fnConstructors        = "v"
	fnMalloc              = "uc"
	fnCreate              = "F"
	fnRun                 = "N"
	fnPassLp              = "U"
	fnPassMip             = "V"
	fnSetOption           = "la" // Highs_setStringOptionValue, which takes any type of option
	fnIntInfo             = "Aa"
	fnInt64Info           = "Ca"
	fnDoubleInfo          = "Ba"
	fnSolution            = "Ea"
	fnModelStatus         = "Ga"
	fnSetSparse           = "Wa" // Highs_setSparseSolution
	fnSetCallbackSolution = "oc"
	fnSetCallback         = "A" // Highs_js_setCallback
	fnStartCallback       = "Ya"
	fnCallbackItem        = "nc" // Highs_getCallbackDataOutItem
)

// Names of what the host gives HiGHS, and of what is between them.
const (
	hostModule     = "a" // as highs.wasm imports it
	fnHostCallback = "callback"
	bridgeImports  = "highs"
	fnSlot         = "slot"
)

// bridge is a WebAssembly module of one function, slot: it appends the host's callback to the function table of HiGHS and returns its
// place, by which HiGHS calls it. A host cannot change a table directly.
//
//	(import "a" "callback" (func $callback (param i32 i32 i32 i32 i32)))
//	(import "highs" "sc" (table 0 funcref))
//	(elem declare func $callback)
//	(func (export "slot") (result i32) (table.grow 0 (ref.func $callback) (i32.const 1)))
var bridge = []byte("\x00asm\x01\x00\x00\x00" +
	"\x01\x0d\x02\x60\x05\x7f\x7f\x7f\x7f\x7f\x00\x60\x00\x01\x7f" +
	"\x02\x1b\x02\x01a\x08callback\x00\x00\x05highs\x02sc\x01\x70\x00\x00" +
	"\x03\x02\x01\x01" +
	"\x07\x08\x01\x04slot\x00\x01" +
	"\x09\x05\x01\x03\x00\x01\x00" +
	"\x0a\x0b\x01\x09\x00\xd2\x00\x41\x01\xfc\x0f\x00\x0b")

// A highsModule is HiGHS, compiled, of which any number of instances can run.
type highsModule struct {
	runtime         wazero.Runtime
	program, bridge wazero.CompiledModule
}

// HasHiGHS reports whether this build has HiGHS.
func HasHiGHS() bool {
	f, err := highsFiles.Open(highsFile)
	if err != nil {
		return false
	}
	_ = f.Close()
	return true
}

// compiledHighs compiles HiGHS at its first use.
var compiledHighs = sync.OnceValues(func() (*highsModule, error) {
	program, err := highsFiles.ReadFile(highsFile)
	if err != nil {
		return nil, ErrNoHiGHS
	}
	sum, err := highsFiles.ReadFile(highsFile + ".sha256")
	if err != nil {
		return nil, err
	}
	if want, _, _ := strings.Cut(string(sum), " "); fmt.Sprintf("%x", sha256.Sum256(program)) != want {
		return nil, errors.New("highs.wasm is not the expected version: run sh cmd/setup.sh and build again")
	}
	return loadHighs(program, highsCache())
})

// highsCache is the directory in which compiled code is kept for the next process; "" where there is none.
func highsCache() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "stavewright")
}

// loadHighs compiles program, or takes what an earlier process compiled. A directory that cannot be used is done without.
func loadHighs(program []byte, dir string) (*highsModule, error) {
	if dir != "" {
		if cache, err := wazero.NewCompilationCacheWithDir(dir); err == nil {
			if m, err := compileHighs(program, cache); err == nil {
				return m, nil
			}
			_ = os.RemoveAll(dir) // what is in there is damaged; the next process fills it again
		}
	}
	return compileHighs(program, nil)
}

func compileHighs(program []byte, cache wazero.CompilationCache) (*highsModule, error) {
	config := wazero.NewRuntimeConfig()
	if cache != nil {
		config = config.WithCompilationCache(cache)
	}
	ctx := experimental.WithCompilationWorkers(context.Background(), runtime.GOMAXPROCS(0))
	m := &highsModule{runtime: wazero.NewRuntimeWithConfig(ctx, config)}
	var err error
	if err = exportHost(ctx, m.runtime); err == nil {
		if m.program, err = m.runtime.CompileModule(ctx, program); err == nil {
			m.bridge, err = m.runtime.CompileModule(ctx, bridge)
		}
	}
	if err != nil {
		_ = m.runtime.Close(ctx)
		return nil, fmt.Errorf("HiGHS: %w", err)
	}
	return m, nil
}
