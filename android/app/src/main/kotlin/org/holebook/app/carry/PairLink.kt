package org.holebook.app.carry

import java.net.URLEncoder

/**
 * A `holebook://pair` link, as the phone's camera app opens it when it has read a shop computer's code. Any page or app can
 * open one too, so all that it does is to fill the field of the page that asks.
 */
object PairLink {
    /** A link has some 200 characters; the library looks at no more than this either. */
    private const val LONGEST = 2048

    private val LINK = Regex("holebook://pair/?\\?.*", setOf(RegexOption.IGNORE_CASE, RegexOption.DOT_MATCHES_ALL))

    /** Whether an address has the scheme of these links. */
    fun isMeant(address: String?): Boolean = address?.startsWith("holebook:", ignoreCase = true) == true

    /** The notebook's page that asks whether to pair by [link], its field filled; the page that says what is wrong with it. */
    fun page(link: String): String {
        val isOne = link.length <= LONGEST && LINK.matches(link)
        return if (isOne) "$PAIR?code=${URLEncoder.encode(link, "UTF-8")}" else ShellPages.NO_CODE
    }

    /** The page on which a person pairs. */
    const val PAIR = "/pair"
}
