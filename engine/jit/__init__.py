"""Records a formula and runs it again as machine code, NumPy calls or plain Python.

A library of its own: it knows formulas, floats and arrays, and nothing of what they describe. Imports `base`.

What it is for
--------------
A formula written in Python over floats or arrays is easy to read and slow to run: on one number, or on a few hundred,
walking its functions and records costs far more than the arithmetic. This package runs the formula once on stand-ins
that write down every operation (a *trace*), and turns the trace into a function that gives the same answers to the last
bit. The formula stays the only statement of what is computed.

When it pays
------------
For a formula of about 2,800 operations on 190 variants: 5 to 10 ms as Python, 1.6 ms as NumPy calls on the trace,
0.06 ms as machine code. Recording and compiling take as long as some fifty runs. So it pays for a formula that is asked
again and again with other numbers, and not for one that runs a few times.

One formula, three times
------------------------
As input, a function of numbers that returns numbers, or records that hold them::

    def formula(radius, angle):
        x, y = radius * cos(angle), radius * sin(angle)
        return [x * y, where(x > 0.0, y / x, 0.0)]

As trace (`trace`), after ``recorder = Recorder()`` and ``formula(recorder.new_input(), recorder.new_input())``; the
inputs are v0 and v1, and a step is written once however often the formula repeats it::

    v2 = cos(v1)
    v3 = multiply(v0, v2)
    v4 = sin(v1)
    v5 = multiply(v0, v4)
    v6 = multiply(v3, v5)
    v7 = greater(v3, 0.0)
    v8 = divide(v5, v3)
    v9 = where(v7, v8, 0.0)

As Python (`python_code`), for one variant; `array_function` is the same with NumPy calls::

    def replay(v0, v1):
        v2 = cosine(v1)
        v3 = v0 * v2
        v4 = sine(v1)
        v5 = v0 * v4
        v6 = v3 * v5
        v7 = v3 > (0.0)
        v8 = v5 / v3 if v3 else quotient(v5, v3)
        v9 = v8 if v7 else (0.0)
        return [v6, v9]

As machine code (`llvm_code`, compiled and run by `machine_code`), here in LLVM's language and without the address
arithmetic: a loop that takes four variants at a time::

    loop:
    %column = phi i64 [0, %entry], [%next, %loop]
    %v0 = load <4 x double>, ptr %v0.at, align 8
    %v1 = load <4 x double>, ptr %v1.at, align 8
    %v2 = call <4 x double> @llvm.cos.v4f64(<4 x double> %v1)
    %v3 = fmul <4 x double> %v0, %v2
    %v4 = call <4 x double> @llvm.sin.v4f64(<4 x double> %v1)
    %v5 = fmul <4 x double> %v0, %v4
    %v6 = fmul <4 x double> %v3, %v5
    %c1 = load <4 x double>, ptr %c1.at, align 8
    %v7 = fcmp ogt <4 x double> %v3, %c1
    %v8 = fdiv <4 x double> %v5, %v3
    %c2 = load <4 x double>, ptr %c2.at, align 8
    %v9 = select <4 x i1> %v7, <4 x double> %v8, <4 x double> %c2
    store <4 x double> %v6, ptr %out0.at, align 8
    store <4 x double> %v9, ptr %out1.at, align 8
    br i1 %more, label %loop, label %end

How to write a formula that can be recorded
-------------------------------------------
* Use operators and the functions of ``engine.base.geometry`` (``sin``, ``cos``, ``sqrt``, ``where``, ``least``,
  ``most``, ``ratio``); they take floats, arrays and stand-ins alike.
* Choose between values with ``where``, never with ``if``; combine conditions with ``&``, ``|`` and ``~``.
* Everything that is not an input is a constant of the trace, and so is the structure: how many parts there are, and
  which. Another structure needs another recording.
* Return records (msgspec structs), tuples, lists and dicts as you like: `float_function` returns the same ones. For
  arrays return a flat list of numbers.

What cannot be recorded
-----------------------
A formula that branches on a value, takes a float out of it or makes an array of it. Recording such a formula raises
`trace.CannotRecordError`; it never replays wrongly. So does an operation that has no code (say ``arctan2``).

A search for a root must branch on what it finds. It is recorded as one call, ``number.record_call(search, function,
...)``: the function it searches in is recorded as a body of its own, and the search is called as it is. Only
`float_function` takes such calls; a caller that needs arrays leaves them out of the recording and searches afterwards.

Known numbers
-------------
Many a formula has numbers that stay as they are for thousands of variants and then change, all of them. Put a
`known.KnownNumber` in the place of each: it may be branched on, and the trace reads what comes of it as a constant.
`known.Derivation` works these constants out again for other numbers, some thousand steps in a fraction of a
millisecond, and says None where a comparison comes out otherwise and the formula would have taken another way; then
record it once more. ``with_known`` of each function puts them in. Comparisons of known numbers are what makes other
recordings necessary: use ``least`` and ``most`` rather than ``if``, ``min`` and ``max``.

A function of known numbers alone that has to branch (a slenderness class, a face with room for a weld or without) is
made a `engine.base.plain_call.plain_call`: the recording calls it as it is. Its numbers go on as known numbers; the
rest of what it says must come out as it was.

Files
-----
Machine code and derivations can be pickled (`plain_code`): whoever keeps a recording in a file finds it again in some
milliseconds, and asks the code once more what it was asked when it was made (`MachineFunction.tried_out`).

Machine code is made on machines that nobody has tried it on. Compare it with the formula on a few variants before
anything rests on it.

Threads
-------
Compiled functions may be called from several threads at once and release Python's lock while they run. Long arrays are
shared out among `machine_code.thread_count()` threads, one a processor unless `machine_code.set_thread_count` says
otherwise. Recording is for one thread: a `Recorder` belongs to whoever made it.

Memory
------
A trace is large and holds itself alive; `Recorder.clear` frees it once code has been made. Code is kept by its text,
and constants stand in a table beside it, so formulas alike but for their constants share one code. Whoever holds a
function keeps its code; a few more are kept for recordings to come (`machine_code.KEPT_AT_MOST`). One compilation takes
about 0.8 MB however small, so functions needed together are compiled together (`machine_code.machine_functions`).

Without llvmlite
----------------
`machine_code.machine_function` returns None where there is no llvmlite, or where a system does not let a program make
code. `python_code.array_function` then runs the trace as NumPy calls, some twenty times slower.

Modules
-------
`trace` records, `known` what stands behind its constants; `python_code` and `llvm_code` write a trace as text;
`machine_code` compiles and runs; `llvm_loops` writes loops that call formulas, for searches that should be machine code
as a whole.
"""
