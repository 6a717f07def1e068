#!/usr/bin/env bash
# The editor grammars in the editors' own engines: TextMate's in vscode-textmate, Vim's in Vim, the minor mode in Emacs, each judged
# by the same places of one report (places.md, places.tsv) and by the samples. Installs what it needs.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
out=target/editors
mkdir -p "$out"

as_root() { if [[ $(id -u) -eq 0 ]]; then "$@"; else sudo "$@"; fi; }
fail() { printf 'FAILED: %s\n' "$*" >&2; exit 1; }

missing=()
command -v vim >/dev/null || missing+=(vim)
command -v emacs >/dev/null || missing+=(emacs-nox)
command -v node >/dev/null || missing+=(nodejs)
command -v npm >/dev/null || missing+=(npm)
compgen -G '/usr/share/emacs/site-lisp/elpa-src/markdown-mode-*' >/dev/null || missing+=(elpa-markdown-mode)
if [[ ${#missing[@]} -gt 0 ]]; then
    as_root apt-get update -qq
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null ||
        fail "could not install ${missing[*]}"
fi
# The small build of Vim has no syntax.
vim --version | grep -q '+syntax' || fail "this Vim was built without syntax"

packages=(vscode-textmate@9.3.2 vscode-oniguruma@2.0.1 tm-grammars@1.32.22)
if [[ "$(cat "$out/installed" 2>/dev/null || true)" != "${packages[*]}" ]]; then
    printf '{"private": true}\n' >"$out/package.json"
    npm install --prefix "$out" --no-audit --no-fund --ignore-scripts --save-exact "${packages[@]}" >"$out/npm.log" 2>&1 ||
        { tail -n 20 "$out/npm.log" >&2; fail "could not install ${packages[*]}"; }
    printf '%s' "${packages[*]}" >"$out/installed"
fi

failed=0
run() { # run NAME COMMAND...: its last line says how many passed and failed.
    printf '%s: ' "$1"
    shift
    if "$@" >"$out/log" 2>&1; then tail -n 1 "$out/log"; else failed=1; cat "$out/log"; fi
}
vim_says() {
    local status=0
    rm -f "$out/vim.txt"
    RESULT="$out/vim.txt" timeout 120 vim -N -u NONE -i NONE -n -es -S tests/editors/vim.vim </dev/null || status=$?
    cat "$out/vim.txt"
    return "$status"
}
run TextMate node tests/editors/textmate.mjs "$out"
run Vim vim_says
run Emacs timeout 120 emacs -q --batch -l tests/editors/emacs.el
[[ $failed -eq 0 ]] || fail "an editor's grammar"
