;;; A second real editor at work on a faulty build, as session.lua does. Run by tests/editor_clients.rs:
;;;   emacs --batch --eval '(package-initialize)' -l tests/editor/session.el
;;; It reads its task from the environment and writes what it saw as JSON. Needs eglot, which newer versions carry.

(require 'eglot)
(require 'flymake)
(require 'json)

(define-derived-mode session-mode text-mode "Session")
(add-to-list 'eglot-server-programs (list 'session-mode (getenv "PROGRAM") "lsp" "--on" "2026-06-01"))
(setq eglot-sync-connect 60
      make-backup-files nil)

(defvar seen nil)
(defun saw (what value) (push (cons what value) seen))

(defun finding ()
  (seq-find (lambda (found) (string-match-p (regexp-quote (getenv "RULE")) (flymake-diagnostic-text found)))
            (flymake-diagnostics)))

(defun wait-until (holds)
  (let ((turns 0))
    (while (and (< turns 600) (not (funcall holds)))
      (accept-process-output nil 0.1)
      (flymake-start)
      (setq turns (1+ turns)))
    (funcall holds)))

(find-file (getenv "FILE"))
(session-mode)
(apply #'eglot (eglot--guess-contact))
(flymake-mode 1)
(wait-until #'finding)
(goto-char (flymake-diagnostic-beg (finding)))
(saw 'message (flymake-diagnostic-text (finding)))
(let ((told (jsonrpc-request (eglot--current-server-or-lose) :textDocument/hover (eglot--TextDocumentPositionParams))))
  (saw 'hover (plist-get (plist-get told :contents) :value)))
(let* ((offers (eglot-code-actions (point) (point) nil nil))
       (offer (seq-find (lambda (action) (equal (plist-get action :title) (getenv "OFFER"))) offers)))
  (eglot--apply-workspace-edit (plist-get offer :edit))
  (saw 'applied (if offer t :json-false)))
(save-buffer)
(saw 'gone (if (wait-until (lambda () (not (finding)))) t :json-false))
(with-temp-file (getenv "SEEN") (insert (json-encode seen)))
(kill-emacs 0)
