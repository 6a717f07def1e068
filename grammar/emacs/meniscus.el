;;; meniscus.el --- Colours for the items of Meniscus in Markdown  -*- lexical-binding: t; -*-

;; Version: 0.1.0
;; Package-Requires: ((emacs "27.1"))
;; Keywords: wp, tools
;; SPDX-License-Identifier: MIT

;;; Commentary:

;; A minor mode that colours the items `~{...}' of a lab report, in `markdown-mode', in `text-mode' and in whatever
;; else has font lock:
;;
;;     (require 'meniscus)
;;     (add-hook 'markdown-mode-hook #'meniscus-mode)
;;
;; The faces are the standard ones, so that any theme does.

;;; Code:

(require 'font-lock)

(defconst meniscus--symbol "[[:alpha:]][[:alnum:]]*['’′″]*\\(?:_[[:alnum:]]+['’′″]*\\)?")
(defconst meniscus--power "\\(?:\\^[-+−]?[0-9]+\\|[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+\\)")
(defconst meniscus--number "\\(?:[0-9]+\\(?:\\.[0-9]*\\)?\\|\\.[0-9]+\\)\\(?:[eE][-+−]?[0-9]+\\)?")
(defconst meniscus--quantity
  (concat meniscus--number "\\(?:(" meniscus--number ")\\)?\\(?:[ \t]*[*×·⋅][ \t]*10" meniscus--power "\\)?"))
(defconst meniscus--factor
  (concat "\\(?:°?[[:alpha:]]+\\(?:[0-9]+[[:alpha:]]+\\)*\\(?:_[[:alpha:]]+\\)?\\|[°%‰′″℃℉]\\)" meniscus--power "?"))
(defconst meniscus--factors (concat meniscus--factor "\\(?:[ \t]*[*×·⋅][ \t]*" meniscus--factor "\\)*"))
(defconst meniscus--denominator (concat "\\(?:" meniscus--factor "\\|([ \t]*" meniscus--factors "[ \t]*)\\)"))
(defconst meniscus--unit
  (concat "\\(?:" meniscus--factors "\\(?:[ \t]*/[ \t]*" meniscus--denominator "\\)?\\|1[ \t]*/[ \t]*" meniscus--denominator "\\)"))

(defconst meniscus--no-unit
  '("in" "as" "of" "against" "normal" "rectangular" "triangular" "arcsine" "trapezoidal" "k" "level" "dof" "range"))
(defconst meniscus--commands '("graph" "budget" "rationale" "summary"))
(defconst meniscus--styles '("plain" "full" "short" "value" "uncertainty" "relative" "interval" "name" "working"))
(defconst meniscus--kinds '("reading" "definition" "instrument" "reaction" "repeat" "counting"))
(defconst meniscus--clauses
  '("with" "exact" "stated" "without" "correlated" "line" "extreme" "residuals" "log" "title"))
(defconst meniscus--shapes '("normal" "rectangular" "triangular" "arcsine"))
(defconst meniscus--shapes-with-number '("trapezoidal" "k" "level" "dof"))
(defconst meniscus--functions
  '("sqrt" "cbrt" "exp" "ln" "log10" "sin" "cos" "tan" "asin" "acos" "atan" "atan2" "sinh" "cosh" "tanh" "abs" "mean" "wmean"
    "sum" "sd" "sem" "count" "first" "last" "row" "slope" "intercept"))

;;; Where items are

(defun meniscus--body-start ()
  "Where Markdown begins: behind front matter."
  (save-excursion
    (goto-char (point-min))
    (if (and (looking-at "\ufeff?---[ \t]*\n[ \t]*[^ \t\n]")
             (zerop (forward-line 1))
             (re-search-forward "^\\(?:---\\|\\.\\.\\.\\)[ \t]*$" nil t))
        (point)
      (point-min))))

(defun meniscus--paragraph-start ()
  "The start of the paragraph that point is in."
  (save-excursion
    (if (re-search-backward "^[ \t]*$" nil t) (match-end 0) (point-min))))

(defun meniscus--fenced-p ()
  "Is point in a fenced block of code?"
  (save-excursion
    (let ((end (point)) (fence nil))
      (goto-char (meniscus--body-start))
      (while (re-search-forward "^[ \t>]*\\(`\\{3,\\}\\|~\\{3,\\}\\)" end t)
        (let ((found (match-string-no-properties 1)))
          (cond ((null fence) (setq fence found))
                ((string-prefix-p fence found) (setq fence nil)))))
      fence)))

(defun meniscus--code-span-p ()
  "Is point in a span of code?"
  (save-excursion
    (let ((at (point)) (inside nil))
      (goto-char (meniscus--paragraph-start))
      (while (and (not inside) (re-search-forward "\\(?:^\\|[^\\`]\\)\\(`+\\)" at t))
        (let* ((ticks (match-string-no-properties 1))
               (close (concat "\\(?:[^`]\\)" ticks "\\(?:[^`]\\|\\'\\)"))
               (limit (save-excursion (or (and (re-search-forward "\n[ \t]*$" nil t) (point)) (point-max)))))
          (when (re-search-forward close limit t)
            (if (> (point) at) (setq inside t) (backward-char 1)))))
      inside)))

(defun meniscus--indented-code-p ()
  "Is point in an indented block of code that begins its paragraph?"
  (save-excursion
    (goto-char (meniscus--paragraph-start))
    (skip-chars-forward "\n")
    (looking-at-p "\\(?: \\{4\\}\\|\t\\)")))

(defun meniscus--item-p ()
  "Does an item begin at point, which is at a tilde and a brace?"
  (and (zerop (% (- (point) (save-excursion (skip-chars-backward "\\\\") (point))) 2))
       (>= (point) (meniscus--body-start))
       (not (meniscus--indented-code-p))
       (not (meniscus--fenced-p))
       (not (meniscus--code-span-p))))

(defun meniscus--quote-end (limit)
  "One past the end of the quoted words at point.
Nil where nothing before LIMIT closes them."
  (let ((closer (cdr (assq (char-after) '((?\" . "\"") (?“ . "”") (?„ . "“"))))))
    (and closer (save-excursion (forward-char 1) (search-forward closer limit t)))))

(defun meniscus--item-end ()
  "Where the item at point ends.
One past its brace, or where it is given up."
  (save-excursion
    (let ((limit (save-excursion (if (re-search-forward "\n[ \t>]*$" nil t) (match-beginning 0) (point-max))))
          (end nil))
      (forward-char 2)
      (while (not end)
        (skip-chars-forward "^}\"“„~|\\\\" limit)
        (cond ((>= (point) limit) (setq end limit))
              ((eq (char-after) ?}) (setq end (1+ (point))))
              ((looking-at-p "~{") (setq end (point)))
              ((eq (char-after) ?|) (setq end (point)))
              ((eq (char-after) ?\\) (goto-char (min limit (+ 2 (point)))))
              (t (goto-char (or (meniscus--quote-end limit) (1+ (point)))))))
      end)))

;;; What an item says

(defun meniscus--face (start end face)
  "Give what stands from START to END the FACE."
  (put-text-property start end 'face face))

(defun meniscus--unit (limit)
  "Colour a unit at point, before LIMIT, and go behind it."
  (skip-chars-forward " \t\n" limit)
  (when (and (looking-at meniscus--unit)
             (<= (match-end 0) limit)
             (not (member (meniscus--word-at) meniscus--no-unit)))
    (meniscus--face (match-beginning 0) (match-end 0) 'font-lock-type-face)
    (goto-char (match-end 0))))

(defun meniscus--word-at ()
  "The symbol at point, or nil; the match data stay."
  (save-match-data (and (looking-at meniscus--symbol) (match-string-no-properties 0))))

(defun meniscus--clause (limit)
  "Colour the word that begins a clause, before LIMIT."
  (skip-chars-forward " \t\n" limit)
  (when (and (looking-at "[[:alpha:]][[:alnum:]_.-]*") (<= (match-end 0) limit))
    (let ((word (match-string-no-properties 0)))
      (meniscus--face (match-beginning 0) (match-end 0)
                      (if (member word meniscus--clauses) 'font-lock-keyword-face 'font-lock-builtin-face))
      (goto-char (match-end 0))
      (when (equal word "with")
        (skip-chars-forward " \t\n" limit)
        (when (and (looking-at "[[:alpha:]][[:alnum:]_.-]*") (<= (match-end 0) limit))
          (meniscus--face (match-beginning 0) (match-end 0) 'font-lock-doc-face)
          (goto-char (match-end 0)))))))

(defun meniscus--word-face (word headed)
  "The face of WORD; HEADED where another has stood before it."
  (cond ((and (not headed) (member word meniscus--commands)) 'font-lock-keyword-face)
        ((not headed) 'font-lock-variable-name-face)
        ((member word '("in" "as" "of" "against" "range" "through")) 'font-lock-keyword-face)
        ((member word '("pi" "π")) 'font-lock-constant-face)
        ((member word meniscus--shapes) 'font-lock-builtin-face)
        ((and (member word meniscus--shapes-with-number) (looking-at-p "[ \t\n]*[0-9.]")) 'font-lock-builtin-face)
        ((and (member word meniscus--functions) (looking-at-p "[ \t]*(")) 'font-lock-function-name-face)
        (t 'font-lock-variable-name-face)))

(defun meniscus--word (limit headed)
  "Colour the word just matched and what belongs to it, before LIMIT.
HEADED is as in `meniscus--word-face'."
  (let ((word (match-string-no-properties 0)) (start (match-beginning 0)) (end (match-end 0)))
    (goto-char end)
    (meniscus--face start end (meniscus--word-face word headed))
    (cond ((and headed (equal word "in")) (meniscus--unit limit))
          ((and headed (equal word "as"))
           (skip-chars-forward " \t\n" limit)
           (when (and (looking-at meniscus--symbol) (member (match-string-no-properties 0) meniscus--styles))
             (meniscus--face (match-beginning 0) (match-end 0) 'font-lock-constant-face)
             (goto-char (match-end 0)))))))

(defun meniscus--colour (start end)
  "Colour the item from START to END."
  (let ((headed nil)
        (limit (if (eq (char-before end) ?}) (1- end) end)))
    (meniscus--face start (+ start 2) 'font-lock-preprocessor-face)
    (when (< limit end) (meniscus--face limit end 'font-lock-preprocessor-face))
    (goto-char (+ start 2))
    (while (< (point) limit)
      (cond ((looking-at "[ \t\n\r]+") (goto-char (match-end 0)))
            ((eq (char-after) ?\;)
             (meniscus--face (point) (1+ (point)) 'font-lock-preprocessor-face)
             (forward-char 1)
             (meniscus--clause limit))
            ((meniscus--quote-end limit)
             (let ((close (meniscus--quote-end limit)))
               (meniscus--face (point) close 'font-lock-string-face)
               (goto-char close)))
            ((and (looking-at (concat "\\[[ \t]*\\(" meniscus--unit "\\|1\\)[ \t]*\\]")) (<= (match-end 0) limit))
             (meniscus--face (match-beginning 1) (match-end 1) 'font-lock-type-face)
             (goto-char (match-end 0)))
            ((and (looking-at meniscus--quantity) (<= (match-end 0) limit))
             (meniscus--face (match-beginning 0) (match-end 0) 'font-lock-constant-face)
             (goto-char (match-end 0))
             (meniscus--unit limit))
            ((looking-at ")[ \t]+") (forward-char 1) (meniscus--unit limit))
            ((looking-at meniscus--symbol)
             (meniscus--word limit headed)
             (setq headed t))
            ((looking-at "[-±+=−*/^×·⋅,]")
             (meniscus--face (point) (1+ (point)) 'font-lock-comment-delimiter-face)
             (forward-char 1))
            (t (forward-char 1))))
    (goto-char end)))

(defun meniscus--fontify (limit)
  "Colour the items that begin before LIMIT.
Nothing is left for font lock itself to do."
  (while (search-forward "~{" limit t)
    (goto-char (match-beginning 0))
    (if (meniscus--item-p)
        (let ((start (point)) (end (meniscus--item-end)))
          (with-silent-modifications
            (put-text-property start end 'font-lock-multiline t)
            (meniscus--colour start end)))
      (forward-char 2)))
  nil)

(defvar font-lock-beg)
(defvar font-lock-end)

(defun meniscus--extend ()
  "Let font lock look at whole paragraphs: an item may run over lines."
  (let ((start (save-excursion (goto-char font-lock-beg) (meniscus--paragraph-start)))
        (end (save-excursion
               (goto-char font-lock-end)
               (if (re-search-forward "^[ \t]*$" nil t) (point) (point-max)))))
    (prog1 (or (< start font-lock-beg) (> end font-lock-end))
      (setq font-lock-beg (min start font-lock-beg) font-lock-end (max end font-lock-end)))))

;;;###autoload
(define-minor-mode meniscus-mode
  "Colour the items of Meniscus."
  :lighter " Meniscus"
  (if meniscus-mode
      (progn
        (font-lock-add-keywords nil '((meniscus--fontify)) 'append)
        (add-hook 'font-lock-extend-region-functions #'meniscus--extend nil t))
    (font-lock-remove-keywords nil '((meniscus--fontify)))
    (remove-hook 'font-lock-extend-region-functions #'meniscus--extend t))
  (when font-lock-mode (font-lock-flush)))

(provide 'meniscus)

;;; meniscus.el ends here
