"""Many trials. A study is data: cases over a design's text, run by `engine.run_cases` on any executor.

`parameters` reads what is changed, `questions` what is asked, `plan` puts them together into cases and rows,
`record` keeps the rows in a file that resumes, `vary` carries a plan out. `compare` and `maps` are what is made of it.

The studies that decide something have a folder each: `builds` (how sure), `causes` (why), `changes` (what to change)
and `lessons` (what tests teach). They share `uncertain` (what nobody knows exactly), `looks` (what is looked at in a
build) and `grammar` (what a maker says), and do not know each other.
"""
