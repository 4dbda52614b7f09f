package org.holebook.app

import android.content.Context
import android.net.ConnectivityManager
import android.net.Network
import android.net.NetworkCapabilities
import android.net.NetworkRequest

/**
 * The Wi-Fi or Ethernet network that the phone shares with a shop computer. If it has no internet
 * access, Android may route connections over the mobile network instead, where no shop computer is.
 * So the app's connections, which all go to shop computers, are bound to it while it is acquired.
 */
class ShopNetwork(context: Context) {
    private val connectivity: ConnectivityManager? =
        context.getSystemService(ConnectivityManager::class.java)
    private var holders = 0
    private var bound: Network? = null

    private val callback = object : ConnectivityManager.NetworkCallback() {
        override fun onAvailable(network: Network) = bind(network)
        override fun onLost(network: Network) = unbind(network)
    }

    /** Binds the app to the network once it is available; at once if it is [known]. */
    @Synchronized
    fun acquire(known: Network? = null) {
        holders += 1
        if (holders == 1) connectivity?.registerNetworkCallback(request(), callback)
        known?.let(::bind)
    }

    /** Undoes one [acquire]; the last one unbinds the app. */
    @Synchronized
    fun release() {
        holders -= 1
        if (holders > 0) return
        connectivity?.unregisterNetworkCallback(callback)
        unbind()
    }

    @Synchronized
    private fun bind(network: Network) {
        if (holders == 0) return // a late callback
        if (connectivity?.bindProcessToNetwork(network) == true) bound = network
    }

    @Synchronized
    private fun unbind(network: Network) {
        if (network == bound) unbind()
    }

    private fun unbind() {
        connectivity?.bindProcessToNetwork(null)
        bound = null
    }

    companion object {
        /** Networks that a shop computer can be on, with or without internet access. */
        fun request(): NetworkRequest = NetworkRequest.Builder()
            .addTransportType(NetworkCapabilities.TRANSPORT_WIFI)
            .addTransportType(NetworkCapabilities.TRANSPORT_ETHERNET)
            .removeCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET)
            .build()
    }
}
