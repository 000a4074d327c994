package mip

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"
)

// HiGHS reads the time from the host. So that equal input gives an equal result, its clock shows how often it was read, in nanoseconds.
// When the solve has to end, the clock passes the time limit at every reading, and HiGHS returns what it has.
const (
	clockLimit = 100 * int64(time.Second)
	clockJump  = 10 * clockLimit
)

// A highsHost is an instance of HiGHS and all that it sees of the world outside.
type highsHost struct {
	ctx        context.Context // ends the solve
	inner      context.Context // of calls into HiGHS; leads back to the host and never ends
	compiled   *highsModule
	module     api.Module
	bridge     api.Module
	readings   int   // of the clock
	limit      int   // on readings; 0: none
	jumped     int64 // by how much the clock is ahead of the readings, ns
	line       []byte
	words      []string // warnings and errors that HiGHS has printed
	completing bool     // HiGHS completes the start it was given
	err        error    // of the first call that failed; later calls do nothing

	event    func(kind uint32, data, in uint64) // called by HiGHS while it solves, with the address of the event's data
	panicked any                                // what event panicked with
}

type hostKey struct{}

// newHighsHost starts an instance. It must be closed.
func newHighsHost(ctx context.Context) (*highsHost, error) {
	compiled, err := compiledHighs()
	if err != nil {
		return nil, err
	}
	h := &highsHost{ctx: ctx, compiled: compiled}
	h.inner = context.WithValue(context.Background(), hostKey{}, h)
	h.module, err = compiled.runtime.InstantiateModule(h.inner, compiled.program, wazero.NewModuleConfig().WithName("").WithStartFunctions())
	if err != nil {
		return nil, fmt.Errorf("HiGHS: %w", err)
	}
	h.call(fnConstructors)
	return h, nil
}

func (h *highsHost) close() {
	if h.bridge != nil {
		_ = h.bridge.Close(h.inner)
	}
	_ = h.module.Close(h.inner)
}

func (h *highsHost) fail(why string) {
	if h.err == nil {
		h.err = errors.New(why)
	}
}

// call calls an exported function and returns its result, 0 after an error.
func (h *highsHost) call(name string, args ...uint64) uint64 {
	if h.err != nil {
		return 0
	}
	results, err := h.module.ExportedFunction(name).Call(h.inner, args...)
	if err != nil {
		reason, _, _ := strings.Cut(err.Error(), "\n") // the rest is a stack of functions without names
		h.fail(strings.TrimSuffix(reason, " (recovered by wazero)"))
		return 0
	}
	if len(results) == 0 {
		return 0
	}
	return results[0]
}

// callback puts the host's callback into the function table of HiGHS and returns its place there.
func (h *highsHost) callback() uint64 {
	if h.err != nil {
		return 0
	}
	ctx := experimental.WithImportResolver(h.inner, func(name string) api.Module {
		if name == bridgeImports {
			return h.module
		}
		return nil
	})
	var err error
	h.bridge, err = h.compiled.runtime.InstantiateModule(ctx, h.compiled.bridge, wazero.NewModuleConfig().WithName(""))
	if err != nil {
		h.fail(err.Error())
		return 0
	}
	results, err := h.bridge.ExportedFunction(fnSlot).Call(h.inner)
	if err != nil {
		h.fail(err.Error())
		return 0
	}
	return results[0]
}

// put copies bytes into the memory of HiGHS and returns their address. They stay there until the instance ends.
func (h *highsHost) put(b []byte) uint64 {
	at := h.call(fnMalloc, uint64(max(len(b), 8)))
	if at == 0 || !h.module.Memory().Write(uint32(at), b) {
		h.fail("HiGHS is out of memory")
	}
	return at
}

func (h *highsHost) putString(s string) uint64 { return h.put(append([]byte(s), 0)) }

func (h *highsHost) putDoubles(v []float64) uint64 {
	b := make([]byte, 0, 8*len(v))
	for _, x := range v {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
	}
	return h.put(b)
}

func (h *highsHost) putInts(v []int32) uint64 {
	b := make([]byte, 0, 4*len(v))
	for _, x := range v {
		b = binary.LittleEndian.AppendUint32(b, uint32(x))
	}
	return h.put(b)
}

// doubles reads n doubles; nil when there are none.
func (h *highsHost) doubles(at uint64, n int) []float64 {
	b, ok := h.module.Memory().Read(uint32(at), uint32(8*n))
	if h.err != nil || at == 0 || !ok {
		return nil
	}
	v := make([]float64, n)
	for i := range v {
		v[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	return v
}

func (h *highsHost) double(at uint64) float64 { return math.Float64frombits(uint64(h.long(at))) }

func (h *highsHost) long(at uint64) int64 {
	v, _ := h.module.Memory().ReadUint64Le(uint32(at))
	return int64(v)
}

func (h *highsHost) int(at uint64) int32 { return int32(h.long(at)) }

// now is the time by the clock that HiGHS sees, ns.
func (h *highsHost) now() int64 {
	h.readings++
	if (h.ctx.Err() != nil || h.limit > 0 && h.readings > h.limit) && h.jumped < math.MaxInt64-2*clockJump {
		h.jumped += clockJump
	}
	return int64(h.readings) + h.jumped
}

// print takes in what HiGHS prints.
func (h *highsHost) print(b []byte) {
	h.line = append(h.line, b...)
	for {
		n := bytes.IndexByte(h.line, '\n')
		if n < 0 {
			break
		}
		text := strings.Join(strings.Fields(string(h.line[:n])), " ")
		h.line = h.line[n+1:]
		switch {
		case strings.HasPrefix(text, "ERROR") || strings.HasPrefix(text, "WARNING"):
			if len(h.words) < 20 {
				h.words = append(h.words, text)
			}
		case strings.HasPrefix(text, "Attempting to find feasible solution by solving MIP"):
			h.completing = true
		case text == "Solving report":
			h.completing = false
		}
	}
}

// What a file call of HiGHS gets for a file that is not there, and a call for what the host does not do.
const (
	errnoNoFile  = 44
	errnoBadFile = 8
	errnoInvalid = 28
	notATerminal = -59
)

// exportHost gives HiGHS what it imports: a clock, growth of memory and its standard output. It gets no files.
// Its imports have short names too.
func exportHost(ctx context.Context, r wazero.Runtime) error {
	const i32, i64, f64 = api.ValueTypeI32, api.ValueTypeI64, api.ValueTypeF64
	type types = []api.ValueType
	host := func(ctx context.Context) *highsHost { return ctx.Value(hostKey{}).(*highsHost) }
	b := r.NewHostModuleBuilder(hostModule)
	export := func(name string, params, results types, f api.GoModuleFunc) {
		b.NewFunctionBuilder().WithGoModuleFunction(f, params, results).Export(name)
	}
	constant := func(v int32) api.GoModuleFunc {
		return func(_ context.Context, _ api.Module, stack []uint64) { stack[0] = api.EncodeI32(v) }
	}
	ends := func(why string) api.GoModuleFunc { // the call fails, and with it the solve
		return func(context.Context, api.Module, []uint64) { panic(errors.New(why)) }
	}
	nothing := func(context.Context, api.Module, []uint64) {}
	milliseconds := func(ctx context.Context, _ api.Module, stack []uint64) {
		stack[0] = api.EncodeF64(float64(host(ctx).now()) / 1e6)
	}

	export("a", types{i32, i32, i32}, nil, ends("HiGHS met an exception"))                                       // __cxa_throw
	export("b", types{i32}, nil, ends("HiGHS ended its program"))                                                // exit
	export("c", nil, types{f64}, milliseconds)                                                                   // emscripten_get_now
	export("d", types{i32}, types{i32}, constant(0))                                                             // fd_close
	export("e", types{i32, i32, i32}, types{i32}, constant(-errnoInvalid))                                       // __syscall_fcntl64
	export("f", types{i32, i32, i32, i32}, types{i32}, func(ctx context.Context, m api.Module, stack []uint64) { // fd_write
		h, memory := host(ctx), m.Memory()
		vectors, n, written := uint32(stack[1]), uint32(stack[2]), uint32(0)
		for i := range n {
			at, _ := memory.ReadUint32Le(vectors + 8*i)
			size, _ := memory.ReadUint32Le(vectors + 8*i + 4)
			if text, ok := memory.Read(at, size); ok {
				h.print(text)
			}
			written += size
		}
		memory.WriteUint32Le(uint32(stack[3]), written)
		stack[0] = 0
	})
	export("g", types{i32, i32, i32, i32}, types{i32}, constant(errnoBadFile))                       // fd_read
	export("h", types{i32, i32, i32}, types{i32}, constant(notATerminal))                            // __syscall_ioctl
	export("i", types{i32, i32, i32, i32}, types{i32}, constant(-errnoNoFile))                       // __syscall_openat
	export("j", nil, types{f64}, milliseconds)                                                       // emscripten_date_now
	export("k", nil, nil, ends("HiGHS gave up"))                                                     // __abort_js
	export("l", types{i32, f64}, types{i32}, constant(0))                                            // _setitimer_js
	export("m", types{i32, i32, i32, i32}, nil, nothing)                                             // _tzset_js
	export("n", types{i32, i32}, types{i32}, constant(0))                                            // environ_get
	export("o", types{i32, i32}, types{i32}, func(_ context.Context, m api.Module, stack []uint64) { // environ_sizes_get, of an empty environment
		m.Memory().WriteUint32Le(uint32(stack[0]), 0)
		m.Memory().WriteUint32Le(uint32(stack[1]), 0)
		stack[0] = 0
	})
	export("p", types{i32, i64, i32}, types{i32}, func(ctx context.Context, m api.Module, stack []uint64) { // clock_time_get
		m.Memory().WriteUint64Le(uint32(stack[2]), uint64(host(ctx).now()))
		stack[0] = 0
	})
	export("q", types{i32}, types{i32}, func(_ context.Context, m api.Module, stack []uint64) { // emscripten_resize_heap
		const page = 1 << 16
		have, want := m.Memory().Size(), uint32(stack[0])
		// Growth by a fifth at least, because each growth copies; where that does not fit, by what is needed.
		for _, size := range []uint64{max(uint64(want), uint64(have)+uint64(have)/5), uint64(want)} {
			if _, ok := m.Memory().Grow(uint32((size - uint64(have) + page - 1) / page)); ok {
				stack[0] = 1
				return
			}
		}
		stack[0] = 0
	})
	export("r", types{i32}, nil, ends("HiGHS ended its program"))              // proc_exit
	export("s", nil, nil, nothing)                                             // _emscripten_runtime_keepalive_clear
	export("t", types{i32, i64, i32, i32}, types{i32}, constant(errnoBadFile)) // fd_seek
	export(fnHostCallback, types{i32, i32, i32, i32, i32}, nil, func(ctx context.Context, _ api.Module, stack []uint64) {
		h := host(ctx)
		defer func() { // a panic ends the call into HiGHS as an error; here it is kept for the caller of Solve
			if v := recover(); v != nil {
				h.panicked = v
				panic(v)
			}
		}()
		h.event(uint32(stack[0]), stack[2], stack[3])
	})
	_, err := b.Instantiate(ctx)
	return err
}
