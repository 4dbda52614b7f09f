package org.holebook.app.shell

import java.net.URLEncoder

/**
 * A `holebook://pair` link, which the phone's camera app opens after scanning a shop computer's
 * code. Any web page or app can open one too, so it only fills in the field of the pairing page.
 */
object PairingLink {
    /** A link has about 200 characters; the library accepts no more than this. */
    private const val MAX_CHARS = 2048

    private val LINK = Regex(
        "holebook://pair/?\\?.*",
        setOf(RegexOption.IGNORE_CASE, RegexOption.DOT_MATCHES_ALL),
    )

    /** Whether an address has the scheme of these links. */
    fun hasScheme(address: String?): Boolean =
        address?.startsWith("holebook:", ignoreCase = true) == true

    /** The pairing page with [link] in its field, or the page that says that it is no code. */
    fun page(link: String): String {
        val isValid = link.length <= MAX_CHARS && LINK.matches(link)
        if (!isValid) return ShellRoutes.NO_CODE
        return "/pair?code=${URLEncoder.encode(link, "UTF-8")}"
    }
}
