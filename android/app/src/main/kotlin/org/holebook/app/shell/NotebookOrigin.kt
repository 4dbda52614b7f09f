package org.holebook.app.shell

/**
 * The origin of the screens inside the WebView.
 *
 * The name ends in `.invalid`, which no name server answers (RFC 2606, section 2): a request that
 * slipped past the shell would reach nobody. `https`, because pages get the whole web platform only
 * there.
 */
object NotebookOrigin {
    /** The reserved name. */
    const val HOST = "notebook.invalid"

    /** The origin, without a slash at its end. */
    const val ORIGIN = "https://$HOST"

    /** The address of the castings page. */
    const val HOME = "$ORIGIN/"

    /** Whether an address, as the WebView writes it, belongs to the notebook. */
    fun contains(address: String): Boolean = address == ORIGIN || address.startsWith(HOME)

    /** Path and query of an address of the notebook; starts with `/`. */
    fun targetOf(address: String): String =
        address.removePrefix(ORIGIN).substringBefore('#').ifEmpty { "/" }
}
