;;; emacs.el --- The minor mode in Emacs itself  -*- lexical-binding: t; -*-

;; Run from the package's folder, with `markdown-mode' installed for the site:
;;     emacs -q --batch -l tests/editors/emacs.el

;;; Code:

(require 'bytecomp)
(setq byte-compile-error-on-warn t)
(let ((compiled (make-temp-file "meniscus" nil ".elc")))
  (let ((byte-compile-dest-file-function (lambda (_) compiled)))
    (unless (byte-compile-file "grammar/emacs/meniscus.el") (kill-emacs 1)))
  (load compiled nil t)
  (delete-file compiled))
(require 'markdown-mode)

(defconst check-faces
  '(("delimiter" . font-lock-preprocessor-face) ("separator" . font-lock-preprocessor-face)
    ("head" . font-lock-variable-name-face) ("symbol" . font-lock-variable-name-face)
    ("word" . font-lock-keyword-face) ("command" . font-lock-keyword-face) ("clause" . font-lock-keyword-face)
    ("style" . font-lock-constant-face) ("constant" . font-lock-constant-face) ("number" . font-lock-constant-face)
    ("string" . font-lock-string-face) ("operator" . font-lock-comment-delimiter-face) ("unit" . font-lock-type-face)
    ("instrument" . font-lock-doc-face) ("kind" . font-lock-builtin-face) ("own kind" . font-lock-builtin-face)
    ("shape" . font-lock-builtin-face) ("function" . font-lock-function-name-face)))
(defvar check-passed 0)
(defvar check-failed 0)

(defun check (what right seen)
  "Note that WHAT was RIGHT, or say what was SEEN."
  (if right (setq check-passed (1+ check-passed))
    (setq check-failed (1+ check-failed))
    (message "FAILED: %s; seen: %S" what seen)))

(defun check-face (position)
  "The face at POSITION."
  (get-text-property position 'face))

(defun check-lines (file)
  "The lines of FILE."
  (with-temp-buffer (insert-file-contents file) (split-string (buffer-string) "\n" t)))

(defun check-visit (file mode)
  "A buffer with FILE in MODE, coloured."
  (let ((buffer (generate-new-buffer "check")))
    (set-buffer buffer)
    (insert-file-contents file)
    (funcall mode)
    (meniscus-mode 1)
    (font-lock-mode 1)
    (font-lock-ensure)
    buffer))

(dolist (mode '(text-mode markdown-mode))
  (check-visit "tests/editors/places.md" mode)
  (dolist (row (check-lines "tests/editors/places.tsv"))
    (pcase-let ((`(,context ,piece ,wanted) (split-string row "\t")))
      (goto-char (point-min))
      (let* ((found (let ((case-fold-search nil)) (search-forward context nil t)))
             (position (and found (+ (- found (length context)) (string-search piece context))))
             (seen (and position (check-face position))))
        (check (format "%s: \"%s\" in \"%s\" is %s" mode piece context wanted)
               (and position
                    (if (equal wanted "plain")
                        (not (memq seen (mapcar #'cdr check-faces)))
                      (eq seen (cdr (assoc wanted check-faces)))))
               seen))))
  ;; Without the mode the colours are gone.
  (meniscus-mode -1)
  (font-lock-ensure)
  (goto-char (point-min))
  (search-forward "71.50")
  (check (format "%s: off is off" mode) (not (eq (check-face (1- (point))) 'font-lock-constant-face)) (check-face (1- (point))))
  (dolist (sample '("beeswax" "gate" "hurried"))
    (check-visit (format "samples/%s/report.md" sample) mode)
    (goto-char (point-min))
    (let ((items 0) (begun 0))
      (while (search-forward "~{" nil t)
        (setq items (1+ items))
        (when (eq (check-face (- (point) 2)) 'font-lock-preprocessor-face) (setq begun (1+ begun))))
      (check (format "%s, %s: %d items begin" mode sample items) (and (> items 9) (= items begun)) begun))))

(message "%d passed, %d failed" check-passed check-failed)
(kill-emacs (if (> check-failed 0) 1 0))

;;; emacs.el ends here
