" The Vim syntax in Vim itself. Run from the package's folder, with its result in the file named by $RESULT:
"   RESULT=out.txt vim -N -u NONE -i NONE -n -es -S tests/editors/vim.vim
set nocompatible encoding=utf-8
scriptencoding utf-8
let s:home = getcwd()
exe 'set runtimepath=' . s:home . '/grammar/vim,' . $VIMRUNTIME . ',' . s:home . '/grammar/vim/after'
filetype on
syntax on

let s:groups = {
      \ 'delimiter': ['meniscusDelimiter'], 'separator': ['meniscusSeparator'], 'head': ['meniscusHead'], 'symbol': ['meniscusSymbol'],
      \ 'word': ['meniscusWord', 'meniscusIn', 'meniscusAs'], 'style': ['meniscusStyle'], 'string': ['meniscusString'], 'operator': ['meniscusOperator'],
      \ 'number': ['meniscusNumber'], 'unit': ['meniscusUnit'], 'clause': ['meniscusClause', 'meniscusWith'], 'instrument': ['meniscusInstrument'],
      \ 'kind': ['meniscusKind'], 'own kind': ['meniscusOwnKind'], 'shape': ['meniscusShape'], 'function': ['meniscusFunction'],
      \ 'constant': ['meniscusConstant'], 'command': ['meniscusCommand']}
let s:told = []
let s:passed = 0
let s:failed = 0

function s:Check(what, right, seen)
  if a:right
    let s:passed += 1
  else
    let s:failed += 1
    call add(s:told, 'FAILED: ' . a:what . '; seen: ' . string(a:seen))
  endif
endfunction

function s:Group(line, column)
  return synIDattr(synID(a:line, a:column, 0), 'name')
endfunction

try
  edit tests/editors/places.md
  call s:Check('the file is Markdown', &filetype ==# 'markdown', &filetype)
  let s:lines = getline(1, '$')
  for s:row in readfile('tests/editors/places.tsv')
    let [s:context, s:piece, s:wanted] = split(s:row, "\t")
    let s:line = 1 + indexof(s:lines, {_, line -> stridx(line, s:context) >= 0})
    let s:column = stridx(s:lines[s:line - 1], s:context) + stridx(s:context, s:piece) + 1
    let s:seen = s:line > 0 ? s:Group(s:line, s:column) : 'nowhere'
    let s:right = s:wanted ==# 'plain' ? s:line > 0 && s:seen !~# '^meniscus' : index(s:groups[s:wanted], s:seen) >= 0
    call s:Check('"' . s:piece . '" in "' . s:context . '" is ' . s:wanted, s:right, s:seen)
  endfor
  for s:sample in ['beeswax', 'gate', 'hurried']
    exe 'edit samples/' . s:sample . '/report.md'
    let [s:begun, s:items, s:stray] = [0, 0, 0]
    for s:number in range(1, line('$'))
      let s:text = getline(s:number)
      let s:at = stridx(s:text, '~{')
      let s:stray += s:at < 0 && s:text =~# '^#' && s:Group(s:number, 1) =~# '^meniscus'
      while s:at >= 0
        let s:items += 1
        let s:begun += s:Group(s:number, s:at + 1) ==# 'meniscusDelimiter'
        let s:at = stridx(s:text, '~{', s:at + 2)
      endwhile
    endfor
    call s:Check(s:sample . ': ' . s:items . ' items begin', s:begun == s:items && s:items > 9, s:begun)
    call s:Check(s:sample . ': no item goes on into a heading', s:stray == 0, s:stray)
  endfor
catch
  call add(s:told, 'FAILED: ' . v:exception . ' at ' . v:throwpoint)
  let s:failed += 1
endtry
call add(s:told, s:passed . ' passed, ' . s:failed . ' failed')
call writefile(s:told, $RESULT)
if s:failed > 0 | cquit | endif
qall!
