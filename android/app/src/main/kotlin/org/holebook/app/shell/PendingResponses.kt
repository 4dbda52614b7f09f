package org.holebook.app.shell

import org.holebook.core.Response

/**
 * Responses to forms that are yet to be shown. A page cannot show the response to its form by
 * itself and have the form's address, so the response waits here; the page goes to the form's
 * address and gets it, once. Later requests for that address, after a restart say, redirect to the
 * page of the form.
 */
class PendingResponses {
    private val responses = LinkedHashMap<String, Response>()

    /** Keeps the response to the form that was sent to [target]. */
    @Synchronized
    fun put(target: String, response: Response) {
        responses[target] = response
        while (responses.size > MAX) responses.remove(responses.keys.first())
    }

    /** Removes and returns the response that waits at [target]. */
    @Synchronized
    fun take(target: String): Response? = responses.remove(target)

    private companion object {
        /** One page is visible at a time; a few more in case of quick taps. */
        const val MAX = 4
    }
}
