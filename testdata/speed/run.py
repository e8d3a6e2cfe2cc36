#!/usr/bin/env python3
"""Renders one class in our way, with sox and with ffmpeg, copies the finished file, and
writes what each took to results.md beside this script. See README.md.

usage: run.py [--runs N]     exit status 1 where a goal is missed
"""
import argparse, array, datetime, json, os, re, resource, shutil, statistics, subprocess, sys, tempfile, time, wave

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
PLAN = os.path.join(HERE, "class.yaml")


def tell(*command, cwd=None):
    """What a command prints."""
    return subprocess.run(command, cwd=cwd, check=True, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT).stdout


def cut(track, cues, folder):
    """Cuts every distinct cue out of our track: [(start, frames, path)] in order."""
    with wave.open(track) as w:
        rate, total = w.getframerate(), w.getnframes()
        samples = array.array("h", w.readframes(total))
    placed, known = [], {}
    for c in sorted(cues, key=lambda c: c["start"]):
        start, end = c["start"], min(c["end"], total)
        what = (c["lane"], c["text"], end - start, *c["clips"])
        if what not in known:
            known[what] = os.path.join(folder, "%03d.wav" % len(known))
            with wave.open(known[what], "wb") as w:
                w.setparams((1, 2, rate, 0, "NONE", ""))
                w.writeframes(samples[start:end].tobytes())
        placed.append((start, end - start, known[what]))
    return placed, total


def sox(placed, total, out):
    """One sox: all clips one after the other, silence put between them, brought to the
    peak and dithered. It has no loudness and no limiter."""
    pads, heard, at = [], 0, 0
    for start, frames, _ in placed:
        if start > at:
            pads.append("%ds@%ds" % (start - at, heard))
        heard, at = heard + frames, start + frames
    pads.append("%ds@%ds" % (total - at, heard))
    return [["sox", "-V1", *[path for *_, path in placed], "-b", "16", out, "pad", *pads, "gain", "-n", "-1", "dither"]]


def ffmpeg(placed, total, folder, out):
    """Two passes of ffmpeg: put together and measured; then brought to the loudness,
    limited at four times the rate, and dithered."""
    ends = [p[0] for p in placed[1:]] + [total]
    graph = ["anullsrc=r=48000:cl=mono,atrim=end_sample=%d,aformat=fltp:48000:mono[s]" % placed[0][0]]
    inputs = []
    for i, (start, _, path) in enumerate(placed):
        inputs += ["-i", path]
        graph.append("[%d:a]aformat=fltp:48000:mono,apad=whole_len=%d[a%d]" % (i, ends[i] - start, i))
    graph.append("[s]%sconcat=n=%d:v=0:a=1,ebur128=peak=true:dualmono=true:framelog=verbose[out]"
                 % ("".join("[a%d]" % i for i in range(len(placed))), len(placed) + 1))
    script, between = os.path.join(folder, "graph"), os.path.join(folder, "between.wav")
    with open(script, "w") as f:
        f.write(";\n".join(graph))
    common = ["ffmpeg", "-nostdin", "-hide_banner", "-y"]
    first = common + inputs + ["-filter_complex_script", script, "-map", "[out]", "-c:a", "pcm_f32le", between]
    log = tell(*first)
    gain = -16 - float(re.findall(r"I:\s+(-?[0-9.]+) LUFS", log)[-1])
    second = common + ["-i", between, "-af", "volume=%.2fdB,aresample=192000,alimiter=limit=0.891:level=0:attack=5:release=50,"
                       "aresample=48000:osf=s16:dither_method=triangular" % gain, "-c:a", "pcm_s16le", out]
    return [first, second]


def measure(commands, env, out):
    """CPU (user and system) and wall seconds of all processes of the commands."""
    if os.path.exists(out):
        os.remove(out)
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    for c in commands:
        subprocess.run(c, env=env, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, time.monotonic() - start)


def main():
    args = argparse.ArgumentParser()
    args.add_argument("--runs", type=int, default=7)
    runs = max(1, args.parse_args().runs)
    folder = tempfile.mkdtemp()
    try:
        return compare(runs, folder)
    finally:
        shutil.rmtree(folder)


def compare(runs, folder):
    path = lambda name: os.path.join(folder, name)
    program, track = path("cuewright"), path("track.wav")
    tell("go", "build", "-o", program, "./cmd/cuewright", cwd=ROOT)
    cold = dict(os.environ, CUEWRIGHT_CACHE="off")
    warm = dict(os.environ, CUEWRIGHT_CACHE=path("cache"))
    subprocess.run([program, "render", PLAN, "-o", track], env=warm, check=True, stdout=subprocess.DEVNULL)
    cues = json.loads(subprocess.run([program, "cues", PLAN, "--format", "json"], env=warm, check=True, stdout=subprocess.PIPE).stdout)["cues"]
    placed, total = cut(track, cues, folder)
    out = path("out.wav")
    jobs = [  # name, commands, environment, goal in cp's CPU
        ("cp of the finished file", [["cp", track, out]], cold, None),
        ("cuewright, prepared clips cached", [[program, "render", PLAN, "-o", out]], warm, 8),
        ("cuewright, no cache", [[program, "render", PLAN, "-o", out]], cold, 16),
        ("sox, put together only", sox(placed, total, out), cold, None),
        ("ffmpeg, put together, measured, limited", ffmpeg(placed, total, folder, out), cold, None),
    ]
    for name, commands, env, _ in jobs:  # once unmeasured; and all must make a track as long as ours
        measure(commands, env, out)
        with wave.open(out) as w:
            if w.getnframes() != total or name.startswith("cuewright") and open(out, "rb").read() != open(track, "rb").read():
                sys.exit("%s: another track than ours: %d frames" % (name, w.getnframes()))
    load = [os.getloadavg()[0]]
    took = {name: [] for name, *_ in jobs}
    for _ in range(runs):
        for name, commands, env, _ in jobs:
            took[name].append(measure(commands, env, out))
    load.append(os.getloadavg()[0])
    sounding = sum(frames for _, frames, _ in placed) / total
    return report(runs, load, jobs, took, len(placed), len({p for *_, p in placed}), sounding)


def report(runs, load, jobs, took, cues, distinct, sounding):
    copy = [cpu for cpu, _ in took[jobs[0][0]]]
    prepared = jobs[1][0]
    with open("/proc/cpuinfo") as f:
        processor = re.search(r"model name\s*: (.*)", f.read())
    lines = [
        "# What the benchmark measured", "",
        "Written by run.py on %s; %s." % (datetime.date.today(), tell("go", "version").split()[2]),
        "%d processors (%s), load %.1f at the start and %.1f at the end, of which the benchmark is 1 to 2."
        % (os.cpu_count(), processor.group(1) if processor else "unknown", *load), "",
        "A track of 23:00 with %d cues (%d distinct ones), %.0f %% of it sounding. %d runs of each, in turn."
        % (cues, distinct, 100 * sounding, runs), "",
        "| | CPU s, median | least | wall s, median | CPU / cp, median of the turns | of the least | goal |", "|---|---|---|---|---|---|---|"]
    missed = []
    for name, _, _, goal in jobs:
        cpu, wall = zip(*took[name])
        ratio = statistics.median(a / b for a, b in zip(cpu, copy))
        lines.append("| %s | %.3f | %.3f | %.2f | %.1f | %.1f | %s |" % (name, statistics.median(cpu), min(cpu), statistics.median(wall),
                     ratio, min(cpu) / min(copy), "at most %d" % goal if goal else ""))
        if goal and ratio > goal:
            missed.append("%s takes %.1f times the CPU of cp, at most %d is wanted" % (name, ratio, goal))
    lines.append("")
    for name, *_ in jobs[3:]:
        times = statistics.median(a[0] / b[0] for a, b in zip(took[name], took[prepared]))
        cold = statistics.median(a[0] / b[0] for a, b in zip(took[name], took[jobs[2][0]]))
        lines.append("%s takes %.1f times our CPU with prepared clips cached, %.1f times without." % (name.split(",")[0], times, cold))
        if cold <= 1:
            missed.append("%s is ahead of us" % name)
    lines += [""] + (["Missed: " + "; ".join(missed) + "."] if missed else ["All goals are met."])
    text = "\n".join(lines) + "\n"
    with open(os.path.join(HERE, "results.md"), "w") as f:
        f.write(text)
    print(text, end="")
    return 1 if missed else 0


sys.exit(main())
