package org.holebook.app.carry

/**
 * The one address at which the screens stand inside the WebView.
 *
 * The name ends in `.invalid`, which no name server ever answers for (RFC 2606, section 2): should a request once slip
 * past the shell, it reaches nobody. `https`, because a page gets the whole of the web platform only there.
 */
object Place {
    /** The reserved name. */
    const val HOST = "notebook.invalid"

    /** What the pages' origin is called. */
    const val ORIGIN = "https://$HOST"

    /** The castings. */
    const val HOME = "$ORIGIN/"

    /** Whether an address, as the WebView writes addresses, lies in the notebook. */
    fun holds(address: String): Boolean = address == ORIGIN || address.startsWith(HOME)

    /** The part of an address after the name, without the fragment; begins with `/`. */
    fun within(address: String): String =
        address.removePrefix(ORIGIN).substringBefore('#').ifEmpty { "/" }
}
