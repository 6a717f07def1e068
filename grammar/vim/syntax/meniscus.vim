" Vim syntax file
" Language:  the items of Meniscus, ~{...}, inside Markdown
" To use it, put this file's folder and the one beside it, after/, on the runtime path: their parent is a package.

let s:cpo = &cpo
set cpo&vim
syn case match

" What a letter is, in any script; signs that are no ASCII are none.
let s:letter = '\%(\a\|[^\d0-\d127±×·⋅−“”„°′″’‰℃℉⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹ ]\)'
let s:end = '\%(' . s:letter . '\|\d\|[_''’′″]\)\@!'
let s:symbol = s:letter . '\%(' . s:letter . '\|\d\)*[''’′″]*\%(_\%(' . s:letter . '\|\d\)\+[''’′″]*\)\='
let s:words = '\%(in\|as\|of\|against\|normal\|rectangular\|triangular\|arcsine\|trapezoidal\|k\|level\|dof\|range\)' . s:end
let s:power = '\%(\^[-+−]\=\d\+\|[⁺⁻]\=[⁰¹²³⁴⁵⁶⁷⁸⁹]\+\)\='
let s:factor = '\%(\%(' . s:words . '\)\@!\%(°\=' . s:letter . '\+\%(\d\+' . s:letter . '\+\)*\%(_' . s:letter . '\+\)\=\|[°%‰′″℃℉]\)' . s:power . '\)'
let s:factors = s:factor . '\%(\s*[*×·⋅]\s*' . s:factor . '\)*'
let s:under = '\%(' . s:factor . '\|(\s*' . s:factors . '\s*)\)'
let s:unit = '\%(' . s:factors . '\%(\s*/\s*' . s:under . '\)\=\|1\s*/\s*' . s:under . '\)'
let s:number = '\%(\d\+\%(\.\d*\)\=\|\.\d\+\)\%([eE][-+−]\=\d\+\)\='

" An item ends at its brace; before that at a blank line, at the next item, at a table's bar.
syn region meniscusItem matchgroup=meniscusDelimiter start="\\\@1<!\%(\\\\\)*\zs\~{" end="}" end="\ze\n\s*$" end="\ze\~{" end="\\\@1<!\ze|"
      \ contains=@meniscusPart containedin=markdownItalic,markdownBold,markdownBoldItalic,markdownLinkText
syn cluster markdownInline add=meniscusItem
syn cluster meniscusPart contains=meniscusSymbol,meniscusHead,meniscusCommand,meniscusWord,meniscusIn,meniscusAs,meniscusFunction,meniscusConstant,meniscusShape,meniscusNumber,meniscusOperator,meniscusClosing,meniscusBracketed,meniscusSeparator,meniscusString

exe 'syn match meniscusSymbol contained "' . s:symbol . '"'
exe 'syn match meniscusHead contained "\%(\~{\s*\)\@20<=' . s:symbol . '"'
exe 'syn match meniscusCommand contained "\%(\~{\s*\)\@20<=\%(graph\|budget\|rationale\|summary\)' . s:end . '"'
exe 'syn match meniscusWord contained "\%(of\|against\|range\|through\)' . s:end . '"'
exe 'syn match meniscusIn contained "in' . s:end . '" nextgroup=meniscusUnit skipwhite skipnl'
exe 'syn match meniscusAs contained "as' . s:end . '" nextgroup=meniscusStyle skipwhite skipnl'
exe 'syn match meniscusStyle contained "\%(plain\|full\|short\|value\|uncertainty\|relative\|interval\|name\|working\)' . s:end . '"'
syn match meniscusFunction contained "\%(sqrt\|cbrt\|exp\|ln\|log10\|sin\|cos\|tan\|asin\|acos\|atan2\|atan\|sinh\|cosh\|tanh\|abs\|mean\|wmean\|sum\|sd\|sem\|count\|first\|last\|row\|slope\|intercept\)\ze\s*("
exe 'syn match meniscusConstant contained "\%(pi\|π\)' . s:end . '"'
exe 'syn match meniscusShape contained "\%(normal\|rectangular\|triangular\|arcsine\)' . s:end . '"'
exe 'syn match meniscusShape contained "\%(trapezoidal\|k\|level\|dof\)' . s:end . '\ze\s*[0-9.]"'

exe 'syn match meniscusNumber contained "' . s:number . '\%((' . s:number . ')\)\=\%(\s*[*×·⋅]\s*10\%(\^[-+−]\=\d\+\|[⁺⁻]\=[⁰¹²³⁴⁵⁶⁷⁸⁹]\+\)\)\=" nextgroup=meniscusUnit skipwhite'
exe 'syn match meniscusUnit contained "' . s:unit . '"'
exe 'syn match meniscusBracketed contained "\[\s*\%(' . s:unit . '\|1\)\s*\]" contains=meniscusUnit'
syn match meniscusOperator contained "+/\=[-−]\|[-±=+−*/^×·⋅,]"
" What stands behind a value in round brackets is its unit.
exe 'syn match meniscusClosing contained ")\ze\s\+' . s:factor . '" nextgroup=meniscusUnit skipwhite'

syn match meniscusSeparator contained ";" nextgroup=meniscusOwnKind,meniscusKind,meniscusClause,meniscusWith skipwhite skipnl
exe 'syn match meniscusOwnKind contained "' . s:letter . '\%(' . s:letter . '\|[0-9_.-]\)*"'
exe 'syn match meniscusKind contained "\%(reading\|definition\|instrument\|reaction\|repeat\|counting\)' . s:end . '"'
exe 'syn match meniscusClause contained "\%(exact\|stated\|without\|correlated\|line\|extreme\|residuals\|log\|title\)' . s:end . '"'
exe 'syn match meniscusWith contained "with' . s:end . '" nextgroup=meniscusInstrument skipwhite skipnl'
exe 'syn match meniscusInstrument contained "' . s:letter . '\%(' . s:letter . '\|[0-9_.-]\)*"'

" A quote that is never closed begins nothing.
syn region meniscusString contained start=+"\%(\%([^"]\|\n\%(\s*$\)\@!\)*"\)\@=+ end=+"+
syn region meniscusString contained start=+“\%(\%([^”]\|\n\%(\s*$\)\@!\)*”\)\@=+ end=+”+
syn region meniscusString contained start=+„\%(\%([^“]\|\n\%(\s*$\)\@!\)*“\)\@=+ end=+“+

hi def link meniscusDelimiter  Delimiter
hi def link meniscusSeparator  Delimiter
hi def link meniscusHead       Identifier
hi def link meniscusSymbol     Identifier
hi def link meniscusCommand    Statement
hi def link meniscusWord       Keyword
hi def link meniscusIn         Keyword
hi def link meniscusAs         Keyword
hi def link meniscusClause     Keyword
hi def link meniscusWith       Keyword
hi def link meniscusStyle      Constant
hi def link meniscusConstant   Constant
hi def link meniscusFunction   Function
hi def link meniscusShape      StorageClass
hi def link meniscusNumber     Number
hi def link meniscusUnit       Type
hi def link meniscusOperator   Operator
hi def link meniscusKind       Label
hi def link meniscusOwnKind    Label
hi def link meniscusInstrument Structure
hi def link meniscusString     String

unlet s:letter s:end s:symbol s:words s:power s:factor s:factors s:under s:unit s:number
" As Markdown's own syntax leaves it.
syn case ignore
let &cpo = s:cpo
unlet s:cpo
