"""Many trials. A study is data: cases over a design's text, run by `engine.run_cases` on any executor.

`parameters` reads what is changed, `sim.trials.request` what is requested, `plan` puts them together into cases and
rows, `record` keeps the rows in a file that resumes, `vary` carries a plan out. `compare` and `maps` are made of it.

The studies that decide something have a folder each: `monte_carlo` (how sure), `diagnosis` (why), `redesign` (what to
change) and `calibration` (what tests teach). They share `priors` (what nobody knows exactly) and `grammar` (what a
maker says), and do not know each other.
"""
