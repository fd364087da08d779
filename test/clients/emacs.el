;;; What a person does in Emacs, one step after the other, on the files of the test's workspace; Emacs runs it in batch mode after the
;;; set-up. What was seen goes to $AFTERCLAP_SEEN as JSON; the test judges it. Written for Emacs 28 with eglot 1.9.  -*- lexical-binding: t -*-

(require 'cl-lib)
(require 'json)
(require 'imenu)

(defvar seen nil "What was seen, by name.")
(defconst patience-seconds 15)

(defun see (name what) (push (cons name what) seen))

(defun await (what is-met)
  (let ((end (+ (float-time) patience-seconds)))
    (while (and (not (funcall is-met)) (< (float-time) end))
      (accept-process-output nil 0.02)
      ;; File notifications are events, which batch mode reads for nobody.
      (read-event nil nil 0.01))
    (unless (funcall is-met) (error "Waited in vain for %s" what))))

(defun findings () (sort (flymake-diagnostics) (lambda (left right) (< (flymake-diagnostic-beg left) (flymake-diagnostic-beg right)))))

(defun codes ()
  (vconcat (mapcar (lambda (found)
                     (let ((text (flymake-diagnostic-text found)))
                       (if (string-match "\\[\\([a-z-]+\\)\\]" text) (match-string 1 text) text)))
                   (findings))))

(defun diagnostics ()
  (vconcat (mapcar (lambda (found)
                     `((text . ,(buffer-substring-no-properties (flymake-diagnostic-beg found) (flymake-diagnostic-end found)))
                       (message . ,(flymake-diagnostic-text found))))
                   (findings))))

(defun open (name)
  (find-file name)
  ;; Between commands, which batch mode has none of, eglot connects and flymake starts.
  (run-hooks 'post-command-hook)
  (unless eglot--managed-mode (error "Eglot does not look after %s" name))
  (flymake-start)
  (await (format "findings of %s" name) (lambda () (flymake-diagnostics))))

(defun text () (buffer-substring-no-properties (point-min) (point-max)))

(defun go-to-finding (at) (goto-char (flymake-diagnostic-beg (nth at (findings)))))

(defun fix ()
  "Chooses the first entry of the menu that eglot offers."
  (let ((before (text))
        (last-nonmenu-event 13))
    (cl-letf (((symbol-function 'completing-read)
               (lambda (_prompt menu &rest _)
                 (unless (assq 'menu seen) (see 'menu (vconcat (mapcar #'car menu))))
                 (caar menu))))
      (call-interactively #'eglot-code-actions))
    (await "the fix" (lambda () (not (equal before (text)))))
    ;; Changes are sent when Emacs is idle, which batch mode never is.
    (eglot--signal-textDocument/didChange)))

(defun hover ()
  (let (said)
    (eglot-hover-eldoc-function (lambda (doc &rest _) (setq said doc)))
    (await "the hover" (lambda () said))
    (substring-no-properties said)))

(defun outline (entries)
  (apply #'append (mapcar (lambda (entry) (cons (car entry) (and (listp (cdr entry)) (outline (cdr entry))))) entries)))

(defun write-text (name text) (with-temp-file name (insert text)))

(defun run ()
  (dolist (name '("interview.otio" "interview.timeline.xml" "interview.edl"))
    (open name)
    (see name (diagnostics)))

  (go-to-finding 0)
  (see 'hover (hover))
  (fix)
  (see 'fixed (text))
  (await "findings of the fixed text" (lambda () (= (length (codes)) 1)))
  (see 'codes_when_fixed (codes))

  ;; Another program writes the report.
  (let ((report (with-temp-buffer (insert-file-contents "day1.alignment.json") (buffer-string))))
    (write-text "day1.alignment.json" (string-replace "\"sample\": 264264" "\"sample\": 262262" report))
    (await "findings by the new report" (lambda () (= (length (codes)) 4)))
    (see 'codes_by_new_report (codes))
    (write-text "day1.alignment.json" report)
    (await "findings by the old report" (lambda () (= (length (codes)) 1))))

  (open "wide.otio")
  (see 'wide (diagnostics))
  (go-to-finding 0)
  (fix)
  (see 'wide_fixed (text))

  (open "interview.otio")
  (go-to-finding 0)
  (call-interactively #'xref-find-definitions)
  (await "the definition" (lambda () (equal (buffer-name) "day1.alignment.json")))
  (see 'definition (buffer-substring-no-properties (line-beginning-position) (line-end-position)))

  (open "interview.otio")
  (see 'outline (vconcat (outline (eglot-imenu))))
  (go-to-finding 0)
  (see 'references (length (xref-backend-references 'eglot "at point")))

  (goto-char (point-min))
  (search-forward "DECK_0001")
  (cl-letf (((symbol-function 'y-or-n-p) (lambda (&rest _) t)))
    (eglot-rename "DECK_0099.wav"))
  (await "the new name" (lambda () (string-match-p "DECK_0099" (text))))
  (see 'renamed (vconcat (sort (cl-loop for buffer in (buffer-list)
                                        for name = (buffer-file-name buffer)
                                        when (and name (with-current-buffer buffer (string-match-p "DECK_0099" (text))))
                                        collect (file-name-nondirectory name))
                               #'string<)))

  (let* ((servers (apply #'append (hash-table-values eglot--servers-by-project)))
         (process (jsonrpc--process (car servers))))
    (see 'servers (length servers))
    ;; As eglot shuts down, but without its kill, so that the server's own exit is seen.
    (jsonrpc-request (car servers) :shutdown nil)
    (jsonrpc-notify (car servers) :exit nil)
    (await "the end of the server" (lambda () (not (process-live-p process))))
    (see 'exit_code (process-exit-status process))))

(setq make-backup-files nil auto-save-default nil create-lockfiles nil)
(condition-case problem (run) (error (see 'problem (error-message-string problem))))
(write-text (getenv "AFTERCLAP_SEEN") (json-encode seen))
(kill-emacs 0)
