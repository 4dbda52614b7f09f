package org.holebook.app.carry

import org.holebook.core.Response

/** Dresses a page of the screens for the phone: the shell's script first in its head, the shell's lines first in it. */
object Dress {
    private const val HEAD = "<head>"
    private const val TOP = "</header>"
    private const val MAIN = "<main id=\"main\">"

    // Not a module: it must stand by before the page's own scripts run and before a finger reaches a button.
    private const val OURS = "<script src=\"/shell/shell.js\"></script><link rel=\"stylesheet\" href=\"/shell/shell.css\">"

    /** The page with all of it; what is no whole page stays as it is. [badge] goes into its head line, both give HTML. */
    fun put(answer: Response, badge: () -> String, strip: () -> String): Response {
        val text = answer.words
        if (!answer.isHtml || !text.contains(HEAD)) return answer
        val dressed = text.replaceFirst(HEAD, HEAD + OURS).replaceFirst(TOP, badge() + TOP).replaceFirst(MAIN, MAIN + strip())
        return answer.saying(dressed)
    }
}
