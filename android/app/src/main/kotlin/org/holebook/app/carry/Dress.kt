package org.holebook.app.carry

import org.holebook.core.Response

/** Dresses a page of the screens for the phone: the shell's script first in its head, the shell's lines round its content. */
object Dress {
    private const val HEAD = "<head>"
    private const val MAIN = "<main id=\"main\">"
    private const val END = "</main>"

    // Not a module: it must stand by before the page's own scripts run and before a finger reaches a button.
    private const val OURS = "<script src=\"/shell/shell.js\"></script><link rel=\"stylesheet\" href=\"/shell/shell.css\">"

    /** The page with all of it; what is no whole page stays as it is. [strip] stands before its content, [foot] after it; both give HTML. */
    fun put(answer: Response, strip: () -> String, foot: () -> String): Response {
        val text = answer.words
        if (!answer.isHtml || !text.contains(HEAD)) return answer
        val dressed = text.replaceFirst(HEAD, HEAD + OURS).replaceFirst(MAIN, MAIN + strip()).replaceFirst(END, foot() + END)
        return answer.saying(dressed)
    }
}
